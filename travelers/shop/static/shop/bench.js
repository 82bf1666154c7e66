/* Who is at the bench: a badge changes the person, and nobody's screen is closed.
 *
 * Hooks: forms [data-shop-badge] and [data-shop-leave], whose "next" is the screen
 * that is shown; at a tablet the dialog [data-shop-idle], with the seconds that
 * nobody may touch the screen, and data-shop-here, the address that hears of a touch.
 * The warning comes a minute ahead; what was typed is kept by draft.js. Without the
 * network nobody can be signed out at the server: the screen stays covered until it is,
 * also when somebody leaves by hand ("shop:leave"), and takes neither touch nor scan. A
 * page that was kept and is opened again knows when it was touched last.
 *
 * While somebody is signed in at a tablet its screen stays awake, where the browser can
 * see to it: over https, and with power enough.
 */
(() => {
  "use strict";

  const WARN_MS = 60000;
  const TELL_MS = 20000;
  const AGAIN_MS = 5000;
  const LOOK_MS = 500;
  const NOTE_MS = 2000;
  // leave.js takes it away with the person.
  const TOUCHED = "shop-touched";

  /* The form leads back to where one is now, not to where the page began. */
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("[data-shop-badge], [data-shop-leave]")) return;
    const next = form.elements.namedItem("next");
    if (next && document.querySelector("[data-shop-idle]")) next.value = here();
  }, true);

  function here() {
    return location.pathname + location.search;
  }

  const dialog = document.querySelector("[data-shop-idle]");
  if (!dialog) return;
  const idle = Number(dialog.dataset.shopIdle) * 1000;
  let touched = before();
  let noted = 0;
  let told = Date.now();
  let telling = 0;
  let leaving = false;

  function token() {
    return document.querySelector("[data-shop-leave] [name=csrfmiddlewaretoken]").value;
  }

  function send(address, more = {}) {
    const body = new URLSearchParams({ csrfmiddlewaretoken: token(), ...more });
    return fetch(address, { method: "POST", body, redirect: "manual" });
  }

  /* The server ends what is idle, too; it hears of touches now and then. */
  function tell() {
    telling = 0;
    told = Date.now();
    send(dialog.dataset.shopHere).then((answer) => {
      if (!answer.ok && !leaving) location.replace(here());
    }).catch(() => {
      // Without the network the next touch tells.
    });
  }

  /* When this person touched a screen here last: this one, or one before it. */
  function before() {
    const now = Date.now();
    try {
      const at = Number(localStorage.getItem(TOUCHED)) || now;
      return Math.min(at, now);
    } catch {
      return now;
    }
  }

  function note() {
    if (touched >= noted && touched - noted < NOTE_MS) return;
    noted = touched;
    try {
      localStorage.setItem(TOUCHED, String(touched));
    } catch {
      // Where nothing is stored no page is kept either.
    }
  }

  function touch() {
    if (leaving) return;
    touched = Date.now();
    note();
    if (dialog.open) dialog.close();
    if (!telling) telling = setTimeout(tell, Math.max(0, told + TELL_MS - touched));
  }

  function leave() {
    if (!leaving) document.dispatchEvent(new Event("shop:leaving"));
    leaving = true;
    clearTimeout(telling);
    show();
    const form = document.querySelector("[data-shop-leave]");
    if (lamp) lamp.release().catch(() => {});
    send(form.action, { next: here() }).then(() => location.replace(here())).catch(() => {
      dialog.classList.add("idle-out");
      dialog.querySelector("[data-shop-idle-soon]").hidden = true;
      dialog.querySelector("[data-shop-idle-out]").hidden = false;
      dialog.querySelector("[data-shop-idle-stay]").hidden = true;
      setTimeout(leave, AGAIN_MS);
    });
  }

  function show() {
    if (!dialog.open) dialog.showModal();
  }

  function look() {
    if (leaving) return;
    const left = touched + idle - Date.now();
    if (left <= 0) leave();
    else if (left <= WARN_MS) {
      dialog.querySelector("[data-shop-idle-left]").textContent = Math.ceil(left / 1000);
      show();
    }
  }

  let lamp = null;

  /* The browser lets go of it by itself when the page is hidden. */
  function wake() {
    if (leaving || document.hidden || !navigator.wakeLock) return;
    navigator.wakeLock.request("screen").then((lock) => { lamp = lock; }).catch(() => {});
  }

  document.addEventListener("visibilitychange", wake);
  wake();

  ["keydown", "pointerdown", "input", "scroll"].forEach((kind) => {
    document.addEventListener(kind, touch, { capture: true, passive: true });
  });
  /* Whose it would be nobody knows: under the cover a scan presses nothing. */
  ["keydown", "submit", "click"].forEach((kind) => {
    window.addEventListener(kind, (event) => {
      if (!dialog.matches(".idle-out")) return;
      event.preventDefault();
      event.stopImmediatePropagation();
    }, true);
  });
  note();
  document.addEventListener("shop:leave", () => { if (!leaving) leave(); });
  dialog.addEventListener("cancel", (event) => { if (leaving) event.preventDefault(); });
  setInterval(look, LOOK_MS);
})();
