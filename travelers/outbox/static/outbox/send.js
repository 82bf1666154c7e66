/* Sends what waits, strictly in order, one batch at a time.
 *
 * self.shopSend.flush({held}) gives {state, count}: "sent" when nothing waits any
 * more, "busy" when another page sends just now, "away" when no answer came,
 * "stranger" when nobody is signed in, "stuck" when the server cannot take it.
 * A press leaves the store only with the server's answer to its id. Sending twice
 * does no harm: the server knows each press by its id.
 */
(() => {
  "use strict";

  const BATCH = 50;
  const ANSWER_MS = 15000;
  const LEASE_MS = 20000;
  const owner = [...crypto.getRandomValues(new Uint32Array(2))].join("-");

  async function token() {
    if (self.document) {
      const found = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/);
      return found ? found[1] : "";
    }
    const cookie = self.cookieStore ? await self.cookieStore.get("csrftoken") : null;
    return cookie ? cookie.value : "";
  }

  /* A request that gives up after a while; null where no answer came. */
  async function ask(url, options = {}, ms = ANSWER_MS) {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), ms);
    const sent = Date.now();
    try {
      const answer = await fetch(url, { credentials: "same-origin", redirect: "manual", ...options, signal: stop.signal });
      if (self.shopClock) self.shopClock.measure(sent, Date.now(), answer.headers);
      if ([500, 502, 503, 504].includes(answer.status)) return null;
      return answer;
    } catch {
      return null;
    } finally {
      clearTimeout(timer);
    }
  }

  async function post(rows) {
    const records = rows.map(({ url, title, several, ...record }) => record);
    return ask(rows[0].url, {
      method: "POST",
      headers: { "Content-Type": "application/json", Accept: "application/json", "X-CSRFToken": await token() },
      body: JSON.stringify({ records }),
    });
  }

  /* What an answer that takes nothing means. */
  async function refusedAs(answer) {
    if (answer.type === "opaqueredirect") return "stranger";
    let told = {};
    try {
      told = await answer.json();
    } catch {
      return "stuck";
    }
    if (told.code === "kit.stale_page") return "token";
    return answer.status === 403 ? "stranger" : "stuck";
  }

  async function sendBatch(size, held) {
    let rows = await self.shopStore.batch(size);
    // What a page is sending the usual way just now is that page's.
    const busy = rows.findIndex((row) => held.has(row.id));
    if (busy === 0) return "busy";
    if (busy > 0) rows = rows.slice(0, busy);
    if (!rows.length) return "sent";
    const answer = await post(rows);
    if (!answer) return "away";
    if (!answer.ok) return refusedAs(answer);
    let told;
    try {
      told = (await answer.json()).answers;
    } catch {
      return "away";
    }
    if (!Array.isArray(told) || told.length !== rows.length) return "stuck";
    await self.shopStore.settle(rows.map((record, place) => ({ record, answer: told[place] })));
    return "more";
  }

  /* Where the disk is full nobody can say that he sends; two may then, without harm. */
  const leased = () => self.shopStore.lease(owner, LEASE_MS).catch(() => true);

  async function flush({ held = new Set() } = {}) {
    if (!(await leased())) return { state: "busy" };
    let size = BATCH;
    let state = "more";
    let tokens = 0;
    try {
      while (state === "more") {
        await leased();
        state = await sendBatch(size, held);
        if (state === "token" && !tokens) {
          // A fresh page's cookie goes with what is due; one try more with it.
          tokens += 1;
          const [first] = await self.shopStore.batch(1);
          await ask(first.url.replace(/outbox\/$/, "due.json"), { headers: { Accept: "application/json" } });
          state = "more";
        } else if (state === "token") state = "stranger";
        else if (state === "stuck" && size > 1) {
          // One of them spoils the rest: find out which.
          size = 1;
          state = "more";
        }
      }
    } finally {
      await self.shopStore.release(owner).catch(() => {});
    }
    return { state };
  }

  self.shopSend = { flush, ask };
})();
