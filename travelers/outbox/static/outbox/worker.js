/* Keeps a station's page for the time without network; served as /sw.js.
 *
 * self.shopKept names this build and its files. Files come from the store, pages
 * from the network first. Only whole pages of stations are kept, one of each and
 * only the last reader's (leave.js forgets them with the person); nothing that is
 * posted, and no other page. What was kept by another build goes when this one
 * takes over. Where the browser can, it sends what waits when the network is back.
 */
(() => {
  "use strict";

  const { version, files } = self.shopKept;
  const FILES = `shop-files-${version}`;
  const PAGES = `shop-pages-${version}`;
  const PATIENCE_MS = 4000;
  const wanted = new Set(files.map((file) => new URL(file, self.location).href));

  self.addEventListener("install", (event) => {
    event.waitUntil((async () => {
      const store = await caches.open(FILES);
      await store.addAll(files.map((file) => new Request(file, { cache: "no-cache" })));
      await self.skipWaiting();
    })());
  });

  self.addEventListener("activate", (event) => {
    event.waitUntil((async () => {
      const names = await caches.keys();
      const old = names.filter((name) => name.startsWith("shop-") && name !== FILES && name !== PAGES);
      await Promise.all(old.map((name) => caches.delete(name)));
      await self.clients.claim();
    })());
  });

  function isStation(url) {
    return /^\/station\/[^/]+\/(several\/)?$/.test(new URL(url).pathname);
  }

  /* A list of parts is shown by the station's own page, which reads the address. */
  function bare(url) {
    const { origin, pathname } = new URL(url);
    return origin + pathname.replace(/several\/$/, "");
  }

  /* The page itself, without what it was asked to show: opened again it shows its list. */
  async function keep(url) {
    // Opened before it is asked for: when the person leaves meanwhile the store is
    // forgotten (leave.js), and what comes then goes with it.
    const pages = await caches.open(PAGES);
    const answer = await fetch(bare(url), { credentials: "same-origin", headers: { "Shop-Keep": "1" } });
    if (answer.ok && !answer.redirected && isStation(answer.url)) {
      await pages.put(bare(url), answer);
    }
  }

  async function page(request) {
    const kept = async () => (await caches.open(PAGES)).match(bare(request.url));
    const stop = new AbortController();
    // Where nothing could be shown instead, a slow shop is waited for.
    const timer = (await kept()) ? setTimeout(() => stop.abort(), PATIENCE_MS) : 0;
    try {
      const answer = await fetch(request, { signal: stop.signal });
      if ([502, 503, 504].includes(answer.status)) return (await kept()) || answer;
      return answer;
    } catch {
      return (await kept()) || Response.error();
    } finally {
      clearTimeout(timer);
    }
  }

  self.addEventListener("fetch", (event) => {
    const { request } = event;
    if (request.method !== "GET") return;
    if (request.mode === "navigate" && isStation(request.url)) event.respondWith(page(request));
    else if (wanted.has(request.url)) {
      event.respondWith((async () => (await (await caches.open(FILES)).match(request.url)) || fetch(request))());
    }
  });

  self.addEventListener("message", (event) => {
    const { keep: url } = event.data || {};
    if (url && isStation(url)) event.waitUntil(keep(url).catch(() => {}));
  });

  self.addEventListener("sync", (event) => {
    if (event.tag !== "shop-outbox") return;
    event.waitUntil((async () => {
      const { state } = await self.shopSend.flush();
      // The browser comes again after a failure.
      if (state === "away") throw new Error("no answer");
    })());
  });
})();
