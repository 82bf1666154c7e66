/* Who is at the bench: a badge changes the person, and nobody's screen is closed.
 *
 * Hooks: forms [data-shop-badge] and [data-shop-leave], whose "next" is the screen
 * that is shown; at a tablet the dialog [data-shop-idle], with the seconds that
 * nobody may touch the screen, and data-shop-here, the address that hears of a touch.
 * The warning comes a minute ahead; what was typed is kept by draft.js. Without the
 * network nobody can be signed out at the server: the screen stays covered until it is.
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
  let touched = Date.now();
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

  function touch() {
    if (leaving) return;
    touched = Date.now();
    if (dialog.open) dialog.close();
    if (!telling) telling = setTimeout(tell, Math.max(0, told + TELL_MS - touched));
  }

  function leave() {
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
  dialog.addEventListener("cancel", (event) => { if (leaving) event.preventDefault(); });
  setInterval(look, LOOK_MS);
})();
