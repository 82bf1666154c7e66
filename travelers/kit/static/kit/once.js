/* One press, one deed.
 *
 * A pressed submit button is disabled until the answer has come, and a second tap
 * within 400 ms counts for nothing, even when the first has put another button or
 * another page under the finger. The answer is htmx's, the event "shop:answered"
 * on the form, or the page coming back. Nothing to hook: every form obeys, except
 * that scans keep their own order (wedge.js).
 */
(() => {
  "use strict";

  const TAP_MS = 400;
  const ANSWER_MS = 15000;
  const STORE = "shop-pressed-at";
  const BUTTON = "button:not([type=button]):not([type=reset]), input[type=submit], input[type=image]";
  const busy = new Map();
  let pressedAt = Number(read()) || 0;

  function read() {
    try {
      return sessionStorage.getItem(STORE);
    } catch {
      return null;
    }
  }

  function note() {
    pressedAt = Date.now();
    try {
      sessionStorage.setItem(STORE, String(pressedAt));
    } catch {
      // Without storage only a change of page inside 400 ms goes unguarded.
    }
  }

  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element && event.target.closest(BUTTON);
    // A script's own requestSubmit has no click; a click has always a finger or key.
    if (!button || !button.form) return;
    const since = Date.now() - pressedAt;
    if (since >= 0 && since < TAP_MS) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    if (button.form.noValidate || button.formNoValidate || button.form.checkValidity()) note();
  }, true);

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (busy.has(form)) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    if (form.method === "dialog") return;
    const button = event.submitter || form.querySelector(BUTTON);
    const held = { button, focused: button === document.activeElement };
    held.guard = setTimeout(() => release(form), ANSWER_MS);
    busy.set(form, held);
    // Afterwards, or the button's own name and value would not be sent.
    setTimeout(() => {
      if (!button || busy.get(form) !== held) return;
      button.disabled = true;
      button.setAttribute("data-shop-busy", "");
    }, 0);
  }, true);

  function release(form) {
    const held = busy.get(form);
    if (!held) return;
    clearTimeout(held.guard);
    busy.delete(form);
    if (!held.button) return;
    held.button.disabled = false;
    held.button.removeAttribute("data-shop-busy");
    if (held.focused && document.activeElement === document.body) held.button.focus();
  }

  document.addEventListener("htmx:afterRequest", (event) => {
    // Who asked stands in the request; the event comes to what replaced the form.
    const form = event.detail.requestConfig.elt.closest("form");
    if (form) release(form);
  });
  document.addEventListener("shop:answered", (event) => {
    const form = event.target instanceof Element && event.target.closest("form");
    if (form) release(form);
  });
  window.addEventListener("pageshow", () => {
    [...busy.keys()].forEach(release);
  });
})();
