/* A scanner that types like a keyboard, wherever the focus is.
 *
 * Hook: the form [data-shop-scan]; its first visible text input takes the code.
 * A burst counts as a scan when it has at least 6 characters, ends with Enter, Tab
 * or 100 ms of silence, and its mean gap is at most 35 ms; up to 80 ms (Bluetooth)
 * when the text reads like a code or an address. The mean decides, not the longest
 * gap: a busy browser stretches single gaps. People type at 120 ms and more. Keys that
 * come as fast as a scanner's and make no whole code yet are waited for longer.
 *
 * A gauge types too: a plain number with the focus in a number field is a reading
 * and stays there. Scans wait in order while one is being answered, and outlive a
 * change of page. The answer is htmx's, or the event "shop:answered" for a script
 * that sends by itself.
 */
(() => {
  "use strict";

  const LEAST = 6;
  const MEAN_MS = 35;
  const MEAN_CODE_MS = 80;
  const SILENCE_MS = 100;
  const STUTTER_MS = 700;
  const FAST = 4;
  // Longer than once.js holds a button, or the next scan would meet a closed form.
  const ANSWER_MS = 16000;
  const WAKE_MS = 60;
  const STORE = "shop-scans";

  const CODE = /^[0-9A-Z]{4}-?[0-9A-Z]{4}$/i;
  const WHOLE = /(^|\/T\/)[0-9A-Z]{4}-?[0-9A-Z]{4}$/i;
  const ADDRESS = /^https?:\/\/\S+$/i;
  const CARD = /(^|\/T\/)[CD][0-9A-Z]{3}-?[0-9A-Z]{4}$/i;
  const NUMBER = /^[+-]?\d{1,6}([.,]\d{1,6})?( ?[a-z%]{1,3})?$/i;
  const NUMBER_FIELD = "input[type=number], input[inputmode=decimal], input[inputmode=numeric], [data-shop-keypad]";
  const TEXT_FIELD = "input:not([type=checkbox]):not([type=radio]):not([type=button]):not([type=submit]):not([type=image]):not([type=file]), textarea, select";

  let keys = [];
  let first = 0;
  let last = 0;
  let field = null;
  let before = "";
  let timer = 0;

  let sending = null;
  let sent = "";
  let guard = 0;
  let waking = 0;
  let asking = 0;
  let queue = restored();

  function restored() {
    try {
      return JSON.parse(sessionStorage.getItem(STORE)) || [];
    } catch {
      return [];
    }
  }

  function keep() {
    try {
      sessionStorage.setItem(STORE, JSON.stringify(queue));
    } catch {
      // Storage may be full or forbidden; the queue still lives in this page.
    }
  }

  function forget() {
    keys = [];
    field = null;
    clearTimeout(timer);
  }

  function meanGap() {
    return (last - first) / (keys.length - 1);
  }

  /* How long silence may last before the burst counts as over. */
  function patience() {
    const fast = keys.length >= FAST && meanGap() <= MEAN_MS;
    return fast && !WHOLE.test(keys.join("")) ? STUTTER_MS : SILENCE_MS;
  }

  function isScan(text) {
    if (text.length < LEAST) return false;
    const mean = meanGap();
    const reads = CODE.test(text) || ADDRESS.test(text);
    if (mean > (reads ? MEAN_CODE_MS : MEAN_MS)) return false;
    return !(field && field.matches(NUMBER_FIELD) && NUMBER.test(text));
  }

  /* Ends a burst; says whether it was a scan and has been taken. */
  function finish() {
    const text = keys.join("");
    const scan = isScan(text);
    if (scan) {
      if (field && field.isConnected && field.value !== before) {
        field.value = before;
        field.dispatchEvent(new Event("input", { bubbles: true }));
      }
      queue.push(text);
      keep();
    }
    forget();
    if (scan) next();
    return scan;
  }

  document.addEventListener("keydown", (event) => {
    if (event.isComposing || event.ctrlKey || event.metaKey || event.repeat) return;
    const ends = event.key === "Enter" || event.key === "Tab";
    if (!ends && event.key.length !== 1) return;
    const now = event.timeStamp;
    if (keys.length && now - last > patience()) finish();
    if (ends) {
      if (keys.length && finish()) {
        event.preventDefault();
        event.stopImmediatePropagation();
      } else wait(event);
      return;
    }
    if (!keys.length) {
      first = now;
      const at = event.target;
      field = at instanceof Element && at.matches(TEXT_FIELD) ? at : null;
      before = field ? field.value : "";
    }
    last = now;
    keys.push(event.key);
    // With no field to receive them, keys must not press buttons or scroll.
    if (!field && keys.length > 1) event.preventDefault();
    clearTimeout(timer);
    timer = setTimeout(silent, patience());
  }, true);

  /* A busy page runs timers late, before the keys that already wait: look again. */
  function silent() {
    const seen = keys.length;
    timer = setTimeout(() => { if (keys.length === seen) finish(); }, 20);
  }

  function input(form) {
    return form.querySelector("input:not([type=hidden])");
  }

  function next() {
    const form = document.querySelector("[data-shop-scan]");
    if (sending || !queue.length || !form || (asking && CARD.test(queue[0]))) return;
    // Taken out before it is sent: a page that changes must not send it again.
    const text = queue.shift();
    keep();
    if (pressed(text)) return;
    input(form).value = text;
    flies(form);
    form.requestSubmit();
  }

  /* A command card presses what is on the screen (cards.js); where that asks the
   * server, the next scan waits for the answer as behind any other. */
  function pressed(text) {
    const scan = new CustomEvent("shop:scanned", { cancelable: true, detail: { text, asks: null, press: null } });
    if (document.dispatchEvent(scan)) return false;
    const { asks, press } = scan.detail;
    if (asks) flies(asks);
    press();
    if (!asks) setTimeout(next, 0);
    return true;
  }

  function flies(asks) {
    sending = asks;
    sent = isScanForm(asks) ? input(asks).value : "";
    guard = setTimeout(answered, ANSWER_MS);
  }

  function isScanForm(asks) {
    return asks.matches("[data-shop-scan]");
  }

  function answered() {
    if (!sending || waking) return;
    clearTimeout(guard);
    if (sending.isConnected && isScanForm(sending)) input(sending).value = "";
    focus();
    // htmx wakes what it swapped in a moment after the answer: a form sent sooner would
    // change the page, and the keys of the next scan would be lost in between.
    waking = setTimeout(awake, WAKE_MS);
  }

  function awake() {
    sending = null;
    waking = 0;
    next();
  }

  /* A code typed by hand is in flight too. */
  document.addEventListener("submit", (event) => {
    if (!sending && event.target.matches("[data-shop-scan]")) flies(event.target);
  });

  /* A code typed by hand while another is being answered waits like a scan (its button
   * is held then); the same one again, by an impatient finger, is none. */
  function wait(event) {
    const at = event.target;
    const form = sending && at instanceof Element && at.closest("[data-shop-scan]");
    if (!form || at !== input(form) || event.key !== "Enter") return;
    event.preventDefault();
    if (at.value.trim() && at.value !== sent) {
      queue.push(at.value);
      keep();
    }
    at.value = "";
  }

  /* A card means what is on the screen: it waits for what a finger pressed before it. */
  document.addEventListener("htmx:beforeSend", () => { asking += 1; });
  document.addEventListener("htmx:afterRequest", (event) => {
    asking = Math.max(0, asking - 1);
    // Who asked stands in the request; the event comes to what replaced the form.
    if (event.detail.requestConfig.elt === sending) answered();
    else if (!asking) setTimeout(next, WAKE_MS);
  });
  document.addEventListener("shop:answered", answered);

  /* The scan field keeps the focus by itself, unless somebody is writing. */
  function focus() {
    const form = document.querySelector("[data-shop-scan]");
    const at = document.activeElement;
    if (!form || (at && at !== document.body && at.isConnected)) return;
    input(form).focus({ preventScroll: true });
  }

  // A pressed button goes with its scene, and the focus with it.
  document.addEventListener("htmx:afterSettle", focus);

  window.addEventListener("pageshow", (event) => {
    if (event.persisted) {
      sending = null;
      waking = 0;
      asking = 0;
      clearTimeout(guard);
      queue = restored();
    }
    focus();
    next();
  });
})();
