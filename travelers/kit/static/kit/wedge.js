/* A scanner that types like a keyboard, wherever the focus is; and the queue of scans.
 *
 * Hook: the form [data-shop-scan]; its first visible text input takes the code. A
 * badge goes to the form [data-shop-badge], where there is one.
 * A burst counts as a scan when it has at least 6 characters, ends with Enter, Tab
 * or 100 ms of silence, and its mean gap is at most 35 ms; up to 80 ms (Bluetooth)
 * when the text reads like a code or an address. The mean decides, not the longest
 * gap: a busy browser stretches single gaps. People type at 120 ms and more. Keys that
 * come as fast as a scanner's and make no whole code yet are waited for longer.
 * A scanner may be set to begin with "~" or F9: then what reads like a code is a scan
 * however slowly it comes. The symbology identifier of ISO/IEC 15424 ("]Q1", "]Q3") is
 * left out.
 *
 * A gauge types too: a burst that reads as a number, perhaps with a unit, goes to
 * the check that is open ([data-shop-keypad]) and is entered, wherever the focus is.
 * Where none is open, [data-shop-value-lost] says so and nothing is done. In another
 * number field it stays, and so does what is scanned into a field marked
 * data-shop-takes-scan. A value that came while one before it was being answered is
 * given to the next check only if that one was settled: never twice to the same.
 *
 * Scans wait in order while one is being answered, and outlive a change of page. The
 * same code again within two seconds is a trigger held too long: it counts for nothing
 * and is told by "shop:again". What is being asked and how many wait stands on the
 * form: data-shop-asking, data-shop-waiting. The answer is htmx's, or the event
 * "shop:answered" for a script that sends by itself. What another reader has read (the
 * camera) joins the queue by the event "shop:scanned" with { text }.
 */
(() => {
  "use strict";

  const LEAST = 6;
  const MEAN_MS = 35;
  const MEAN_CODE_MS = 80;
  const SILENCE_MS = 100;
  const STUTTER_MS = 700;
  const FAST = 4;
  const PREFIXES = ["~", "F9"];
  const SYMBOLOGY = /^~?(\][A-Z][0-9A-Z])?/i;
  // Longer than once.js holds a button, or the next scan would meet a closed form.
  const ANSWER_MS = 16000;
  const WAKE_MS = 60;
  const AGAIN_MS = 2000;
  const STORE = "shop-scans";

  const CODE = /^[0-9A-Z]{4}-?[0-9A-Z]{4}$/i;
  const WHOLE = /((^|\/T\/)[0-9A-Z]{4}-?[0-9A-Z]{4}|\/B\/[A-Z2-7]{26})$/i;
  const BADGE = /\/B\/[A-Z2-7]{26}$/i;
  const ADDRESS = /^https?:\/\/\S+$/i;
  const CARD = /(^|\/T\/)[CD][0-9A-Z]{3}-?[0-9A-Z]{4}$/i;
  const NUMBER = /^[+\-−]?(\d{1,6}([.,]\d{0,6})?|[.,]\d{1,6})( ?([a-zµμ%Ω°]{1,4}|"|''))?$/i;
  // Begins as a number and is none: the server says what is wrong with it.
  const ODD = /^[+\-−]?[.,]?\d[^\n]*[ .,%"][^\n]*$/;
  const VALUE_FIELD = "form [data-shop-keypad]";
  const NUMBER_FIELD = "input[type=number], input[inputmode=decimal], input[inputmode=numeric], [data-shop-keypad]";
  const TEXT_FIELD = "input:not([type=checkbox]):not([type=radio]):not([type=button]):not([type=submit]):not([type=image]):not([type=file]), textarea, select";

  let keys = [];
  let prefixed = false;
  let first = 0;
  let last = 0;
  let field = null;
  let before = "";
  let timer = 0;

  let taken = "";
  let takenAt = 0;

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
    prefixed = false;
    field = null;
    clearTimeout(timer);
  }

  function meanGap() {
    return (last - first) / (keys.length - 1);
  }

  /* What was read, without what the scanner puts before it. */
  function read() {
    return keys.join("").replace(SYMBOLOGY, "");
  }

  /* How long silence may last before the burst counts as over. */
  function patience() {
    if (prefixed) return STUTTER_MS;
    const fast = keys.length >= FAST && meanGap() <= MEAN_MS;
    return fast && !WHOLE.test(read()) ? STUTTER_MS : SILENCE_MS;
  }

  function isScan(text) {
    if (text.length < LEAST || (field && field.matches("[data-shop-takes-scan]"))) return false;
    const reads = CODE.test(text) || ADDRESS.test(text);
    if (prefixed && reads) return true;
    const mean = meanGap();
    if (mean > (reads ? MEAN_CODE_MS : MEAN_MS)) return false;
    return !(field && field.matches(NUMBER_FIELD) && NUMBER.test(text));
  }

  /* A gauge's value; ended tells when its Enter came, which is as fast as its keys.
   * With Enter and no text of somebody's around it, it may come as slowly as a code:
   * a hand that is as fast means the same. */
  function isValue(text, ended) {
    const number = NUMBER.test(text);
    if (!number && !(text.length >= LEAST && ODD.test(text))) return false;
    if (field && field.matches(NUMBER_FIELD) && !field.matches(VALUE_FIELD)) return false;
    if (keys.length < (ended ? 2 : FAST)) return false;
    const mean = ended ? (ended - first) / keys.length : meanGap();
    const free = !field || field.matches(`${VALUE_FIELD}, [data-shop-scan] *, select`);
    return mean <= (ended && number && free ? MEAN_CODE_MS : MEAN_MS);
  }

  /* Two values may well be the same, and two digits; a tag is not meant twice in a
   * moment. */
  function isAgain(text) {
    const same = text === taken && last - takenAt < AGAIN_MS && !CARD.test(text);
    if (same) document.dispatchEvent(new Event("shop:again"));
    else [taken, takenAt] = [text, last];
    return same;
  }

  /* Ends a burst; says whether it was a scan or a value and has been taken. */
  function finish(ended) {
    const text = read();
    const value = isValue(text, ended);
    const scan = value || isScan(text);
    if (scan) {
      if (field && field.isConnected && field.value !== before) {
        field.value = before;
        field.dispatchEvent(new Event("input", { bubbles: true }));
      }
      if (value) take({ value: text, waited: Boolean(sending) });
      else if (!isAgain(text)) take(text);
    }
    forget();
    if (scan) next();
    return scan;
  }

  function take(one) {
    queue.push(one);
    keep();
    show();
  }

  document.addEventListener("shop:scanned", (event) => {
    take(event.detail.text);
    next();
  });

  document.addEventListener("keydown", (event) => {
    if (event.isComposing || event.ctrlKey || event.metaKey || event.repeat) return;
    const ends = event.key === "Enter" || event.key === "Tab";
    const prefix = PREFIXES.includes(event.key);
    if (!ends && !prefix && event.key.length !== 1) return;
    const now = event.timeStamp;
    if (keys.length && (prefix || now - last > patience())) finish();
    if (ends) {
      if (keys.length && finish(now)) {
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
      prefixed = prefix;
    }
    last = now;
    keys.push(prefix ? "~" : event.key);
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

  /* A badge goes where badges go, and in its turn: what was scanned before it is the
   * former person's, what comes after it is the next one's. */
  function goal(text) {
    const badge = BADGE.test(text) && document.querySelector("[data-shop-badge]");
    return badge || document.querySelector("[data-shop-scan]");
  }

  function next() {
    const form = queue.length ? goal(queue[0]) : null;
    if (sending || !form) return;
    say("", "");
    if (queue[0].value !== undefined) {
      give();
      return;
    }
    if (asking && CARD.test(queue[0])) return;
    // Taken out before it is sent: a page that changes must not send it again.
    const text = queue.shift();
    keep();
    if (pressed(text)) return;
    input(form).value = text;
    flies(form);
    form.requestSubmit();
  }

  /* Enters a gauge's value into the check that is open. */
  function give() {
    const at = document.querySelector(VALUE_FIELD);
    if (at && at.form.querySelector("[data-shop-busy]")) {
      queue[0].waited = true;
      keep();
      return;
    }
    const { value, waited } = queue.shift();
    keep();
    if (!at) say("shopNoCheck", value);
    else if (waited && unsettled(at)) say("shopFirst", value);
    else {
      at.value = value;
      at.dispatchEvent(new Event("input", { bubbles: true }));
      flies(at.form);
      at.form.requestSubmit();
      return;
    }
    next();
  }

  /* The value before was asked about, refused, or is outside and waits for a word. */
  function unsettled(at) {
    return at.value !== "" || at.matches("[aria-invalid]") || Boolean(at.form.querySelector("[role=alert]"));
  }

  function say(what, value) {
    const place = document.querySelector("[data-shop-value-lost]");
    if (place) place.textContent = what ? place.dataset[what].replace("{value}", value) : "";
  }

  /* Seen with the last key of a scan, before anything has been answered. */
  function show() {
    const form = document.querySelector("[data-shop-scan]");
    if (!form) return;
    form.toggleAttribute("data-shop-asking", Boolean(sending));
    form.toggleAttribute("data-shop-waiting", Boolean(queue.length));
    if (queue.length) form.dataset.shopWaiting = `+${queue.length}`;
  }

  /* A command card presses what is on the screen (cards.js); where that asks the
   * server, the next scan waits for the answer as behind any other. */
  function pressed(text) {
    const scan = new CustomEvent("shop:card", { cancelable: true, detail: { text, asks: null, press: null } });
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
    show();
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
    show();
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
    if (at.value.trim() && at.value !== sent) take(at.value);
    at.value = "";
  }

  /* A card means what is on the screen: it waits for what a finger pressed before it,
   * also while that is only being kept by the tablet ("shop:keeping"). */
  ["htmx:beforeSend", "shop:keeping"].forEach((begins) => document.addEventListener(begins, () => { asking += 1; }));
  document.addEventListener("shop:kept", () => {
    asking = Math.max(0, asking - 1);
    // It is sent in the same moment, and then asks on.
    setTimeout(() => { if (!asking) next(); }, WAKE_MS);
  });
  document.addEventListener("htmx:afterRequest", (event) => {
    asking = Math.max(0, asking - 1);
    // Who asked stands in the request; the event comes to what replaced the form.
    if (event.detail.requestConfig.elt === sending) answered();
    else if (!asking) {
      // A press has changed the screen: the same code may be meant anew.
      taken = "";
      setTimeout(next, WAKE_MS);
    }
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
