/* Every press is kept before it is sent, and leaves only with the server's answer.
 *
 * Hook: #outbox, which says in data attributes where presses are sent (send), what
 * is due (due), where the page is (here, report), who stands here (pass) and which
 * build this is. Online a press goes its usual way by htmx, under the same id; when
 * no answer comes the page goes on alone (away.js). What waits is sent at load, when
 * the browser says it is online, when the page is looked at again, every 15 s, and
 * by the worker where browsers can. navigator.onLine is never believed.
 */
(() => {
  "use strict";

  const root = document.getElementById("outbox");
  if (!root) return;
  const { shopStore: store, shopSend: send, shopClock: clock, shopCards: cards } = self;
  const { composed, record, told } = self.shopPress;
  const ANSWER_MS = 4000;
  const CALM_MS = 15000;
  const SOON_MS = 1000;
  const TRIES_MS = [3000, 5000, 10000, 15000];
  // A gateway's word for nobody behind it, and the shop's own for records out of reach.
  const GONE = [502, 503, 504, 507];
  const person = document.body.dataset.shopPerson || "";
  const flying = new Map();
  // What the banner tells of (told.js).
  const seen = { waiting: { count: 0, since: null }, broken: "", barred: "", warning: "" };
  let stale = false;
  let tries = 0;
  let timer = 0;
  let ticking = false;

  self.htmx.config.timeout = ANSWER_MS;

  /* Keeps presses, or says loudly that they are not kept. */
  async function keep(made) {
    try {
      const numbers = await store.add(made);
      made.forEach((one, place) => { one.number = numbers[place]; });
      seen.broken = "";
      await count();
      return true;
    } catch (fault) {
      seen.broken = fault && fault.name === "QuotaExceededError" ? "full" : "shut";
      if (self.shopAway.is()) {
        const said = cards.answer("refused", cards.say("notKept"), cards.say("notKeptText"));
        const scene = document.getElementById("scene");
        (cards.slot(scene, "said") || scene).prepend(said);
        said.dispatchEvent(new CustomEvent("shop:answered", { bubbles: true }));
      }
      shown();
      return false;
    }
  }

  async function count() {
    seen.waiting = await store.waiting();
    try {
      localStorage.setItem("shop-waiting", String(seen.waiting.count));
    } catch {
      // Then the sign-out cannot warn; the banner does.
    }
    shown();
  }

  // --- The usual way

  document.addEventListener("htmx:confirm", (event) => {
    const form = event.target;
    if (!(form instanceof HTMLFormElement)) return;
    const asked = event.detail.triggeringEvent;
    const made = composed(form, asked && asked.submitter);
    if (!made.length) return;
    event.preventDefault();
    tell("shop:keeping");
    flying.set(form, made);
    keep(made).finally(() => {
      tell("shop:kept");
      event.detail.issueRequest(true);
    });
  });

  function tell(name) {
    document.dispatchEvent(new CustomEvent(name));
  }

  /* What was pressed is sent: a button may be held by now, and in the field stand the
   * first keys of the next scan. */
  document.addEventListener("htmx:configRequest", (event) => {
    const made = flying.get(event.detail.elt);
    if (!made) return;
    const { parameters } = event.detail;
    Object.entries(told(made)).forEach(([name, value]) => { parameters[name] = value; });
  });

  document.addEventListener("htmx:afterRequest", (event) => {
    const { xhr, requestConfig } = event.detail;
    if (!xhr) return;
    const made = flying.get(requestConfig.elt);
    if (!xhr.status || xhr.status >= 500) {
      // What is lost is told in a moment (lost); what was called off is not.
      setTimeout(() => flying.delete(requestConfig.elt));
      return;
    }
    clock.measure(requestConfig.shopSent || Infinity, Date.now(), { get: (name) => xhr.getResponseHeader(name) });
    // Led to the sign-in: that answers nothing that was pressed.
    const led = xhr.getResponseHeader("HX-Redirect");
    const elsewhere = led && !new URL(led, location).pathname.startsWith(root.dataset.here);
    if (!made) return;
    if (elsewhere) return landed(requestConfig.elt, made);
    // Until it has left the store it is counted there: it flies as long, or the next
    // press would think that others wait before it.
    store.remove(made).then(count).catch(() => {}).finally(() => landed(requestConfig.elt, made));
    if (!self.shopAway.is()) self.shopAway.taken(accepted(made, xhr)).catch(() => {});
    again(SOON_MS);
  });

  function landed(form, made) {
    if (flying.get(form) === made) flying.delete(form);
  }

  /* What of it the server took, as its answer shows: what it did not stays on the list. */
  function accepted(made, xhr) {
    if (xhr.status !== 200) return [];
    if (!made[0].several) return xhr.responseText.includes("data-shop-refusal") ? [] : made;
    const page = new DOMParser().parseFromString(xhr.responseText, "text/html");
    const left = page.querySelector("#scene [name=parts]");
    return left ? made.filter(({ code }) => !left.value.split(",").includes(code)) : [];
  }

  document.addEventListener("htmx:beforeSend", (event) => { event.detail.requestConfig.shopSent = Date.now(); });

  /* The shop's own 503 would be shown above the scene; here it is one more reason to
   * go on alone, with the press kept. */
  document.addEventListener("htmx:beforeSwap", (event) => {
    if (!GONE.includes(event.detail.xhr.status)) return;
    event.detail.shouldSwap = false;
    event.detail.isError = true;
  });

  function lost(event) {
    const { xhr, requestConfig, pathInfo } = event.detail;
    if (event.type === "htmx:responseError" && !GONE.includes(xhr.status)) return;
    const { elt } = requestConfig;
    const made = flying.get(elt);
    flying.delete(elt);
    tries = 0;
    again(TRIES_MS[0]);
    if (made && made[0].number === undefined) return warn(cards.say("notKeptText"));
    if (made && made[0].photos) warn(cards.say("photosLost"));
    const url = new URL(pathInfo.finalRequestPath || pathInfo.requestPath, location);
    const asks = requestConfig.verb === "get" && !elt.matches(".lists");
    self.shopAway.enter({ records: made || [], asked: asks || !made ? url.searchParams : null });
  }
  ["htmx:sendError", "htmx:timeout", "htmx:responseError"].forEach((name) => document.addEventListener(name, lost));

  // --- Forms while away, and the one form that goes without htmx

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.dataset.shopLeave !== undefined && self.shopAway.is()) {
      // The server cannot hear of it yet: the screen is covered until it does.
      event.preventDefault();
      tell("shop:leave");
      return;
    }
    if (form.dataset.shopLeave !== undefined || form.matches("[data-away-out]")) return;
    const made = composed(form, event.submitter);
    const alone = self.shopAway.is() || (made.length && queued() > 0);
    const plain = made.length && !form.hasAttribute("hx-post");
    if (!alone && !plain) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    tell("shop:keeping");
    const deed = alone ? apart(form, made) : plainly(form, made);
    deed.catch(() => {}).finally(() => tell("shop:kept"));
  }, true);

  /* How many wait that no form is sending just now. */
  function queued() {
    return seen.waiting.count - [...flying.values()].flat().length;
  }

  async function apart(form, made) {
    const field = form.matches("[data-shop-scan]") && form.querySelector("input:not([type=hidden])");
    const text = field && field.value;
    if (field) field.value = "";
    // What the scan field means is the server's word until the page goes on alone: a
    // mate for the part on the screen. From then on it is this page's.
    const meant = made.length && (!field || !self.shopAway.is());
    if (!self.shopAway.is()) await self.shopAway.enter({ quiet: true });
    let taken = false;
    if (field && !meant) await self.shopAway.scanned(text);
    else if (meant) taken = await self.shopAway.press(made);
    else warn(cards.say("leave"));
    form.dispatchEvent(new CustomEvent("shop:answered", { bubbles: true, detail: { taken } }));
    if (!form.isConnected) document.dispatchEvent(new CustomEvent("shop:answered"));
    if (taken) again(seen.barred || tries ? TRIES_MS[0] : 0);
  }

  /* The defect's page is another one: before this page goes, see that that one comes. */
  document.addEventListener("click", (event) => {
    const link = event.target instanceof Element && event.target.closest("a[href]");
    if (!link || self.shopAway.is() || new URL(link.href, location).pathname !== root.dataset.report) return;
    event.preventDefault();
    tell("shop:keeping");
    due().catch(() => "away").then(async (state) => {
      if (state !== "away") return location.assign(link.href);
      await self.shopAway.enter({ quiet: true });
      self.shopAway.follow(link);
      again(TRIES_MS[0]);
      return tell("shop:kept");
    });
  }, true);

  async function plainly(form, made) {
    const body = new FormData(form);
    Object.entries(told(made)).forEach(([name, value]) => body.set(name, value));
    body.set("event_id", made[0].id);
    await keep(made);
    const answer = await send.ask(form.action, { method: "POST", body }, ANSWER_MS);
    if (!answer) {
      if (made[0].number === undefined) return warn(cards.say("notKeptText"));
      return self.shopAway.enter({ records: made });
    }
    if (answer.type === "opaqueredirect") {
      // Taken, or led to the sign-in: the next page asks the server by the id.
      const [{ step }] = made;
      return location.assign(`${root.dataset.here}${step ? `?step=${step}&code=${root.dataset.part || ""}` : ""}`);
    }
    await store.remove(made);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    document.getElementById("main").replaceWith(page.getElementById("main"));
    form.dispatchEvent(new CustomEvent("shop:answered", { bubbles: true, detail: { taken: false } }));
    return count();
  }

  // --- Sending and asking

  function again(ms) {
    clearTimeout(timer);
    timer = setTimeout(tick, ms);
  }

  async function due() {
    const url = root.dataset.due;
    let kept = null;
    try {
      kept = await store.due(url);
    } catch {
      kept = null;
    }
    // Asked by the page: nobody need be there for it.
    const headers = { Accept: "application/json", "X-Shop-By-Itself": "1", ...(kept && kept.etag ? { "If-None-Match": kept.etag } : {}) };
    const answer = await send.ask(url, { headers }, ANSWER_MS);
    if (!answer) return "away";
    stale = stale || (answer.headers.get("Shop-Build") || root.dataset.build) !== root.dataset.build;
    if (answer.status === 304) return "sent";
    if (!answer.ok) return answer.status === 404 ? "sent" : "stranger";
    const news = await answer.json();
    // Somebody else is signed in by now: this page is no longer anybody's.
    if (person && news.person && String(news.person) !== person) stale = true;
    else if (news.pass) root.dataset.pass = news.pass;
    await self.shopAway.take({ ...news, url, etag: answer.headers.get("ETag"), pass: undefined }).catch((fault) => {
      seen.broken = fault && fault.name === "QuotaExceededError" ? "full" : "shut";
    });
    return "sent";
  }

  async function tick() {
    if (ticking) return;
    ticking = true;
    let state = "away";
    try {
      state = await tried();
    } catch (fault) {
      seen.broken = seen.broken || "shut";
    } finally {
      ticking = false;
    }
    await follow(state);
    again(state === "sent" ? CALM_MS : TRIES_MS[Math.min(tries, TRIES_MS.length - 1)]);
    if (state !== "sent") tries += 1;
  }

  async function tried() {
    await count().catch(() => { seen.broken = seen.broken || "shut"; });
    if (queued() > 0) {
      if (clock.offset() !== null) await store.giveOffset(clock.offset()).catch(() => {});
      const { state } = await send.flush({ held: new Set([...flying.values()].flat().map((one) => one.id)) });
      await count();
      await self.shopTold.refused();
      await self.shopUndo.without(await store.refused()).catch(() => {});
      if (state !== "sent") return state;
    }
    return due();
  }

  async function follow(state) {
    if (state === "busy") return;
    seen.barred = state === "stranger" || state === "stuck" ? state : "";
    if (state === "sent") {
      tries = 0;
      if (self.shopAway.is()) await self.shopAway.leave();
      // A page of an older build, or of another person, begins anew when nobody needs it.
      if (stale && !self.shopAway.is() && !typing() && !flying.size) location.reload();
    } else if (state === "away" && !self.shopAway.is()) {
      await self.shopAway.enter({ quiet: !document.querySelector("#scene .lists") });
    } else if (state === "stranger" && self.shopAway.is() && !seen.waiting.count && !typing() && !flying.size) {
      // In touch again, and not let in: who may, and how, is the server's to say.
      location.reload();
    }
    if (state === "away" && seen.waiting.count) self.shopKeeper.offerSync();
    shown();
  }

  function typing() {
    return [...document.querySelectorAll("main input:not([type=hidden]):not([type=checkbox]):not([type=radio])")].some((one) => one.value !== one.defaultValue);
  }

  function shown() {
    self.shopTold.show(seen, self.shopAway.is());
  }

  function warn(text) {
    seen.warning = text;
    shown();
    setTimeout(() => { seen.warning = ""; shown(); }, 8000);
  }

  self.shopOutbox = { root, record, keep, typing, shown, warn };
  window.addEventListener("online", () => again(0));
  document.addEventListener("visibilitychange", () => { if (!document.hidden) again(0); });
  // The first press goes before the worker, which fetches a page and all its files.
  setTimeout(() => self.shopKeeper.offerPage().catch(() => {}), CALM_MS / 5);
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
  self.shopTold.refused().catch(() => { seen.broken = "shut"; shown(); });
  again(SOON_MS);
})();
