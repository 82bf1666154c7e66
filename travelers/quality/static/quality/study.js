/* No answer while a gauge is studied: said loudly, and what was typed stays.
 *
 * Hooks: pieces [data-shop-gone], shown while the shop does not answer. Nothing is
 * kept to be sent later: which part is next is the shop's word. The press goes
 * again under its own number (nonce.js), so that it counts once.
 */
(() => {
  "use strict";

  const ANSWER_MS = 6000;
  // A gateway's word for nobody behind it.
  const GONE = [502, 503, 504];

  self.htmx.config.timeout = ANSWER_MS;

  function show(gone) {
    document.querySelectorAll("[data-shop-gone]").forEach((piece) => { piece.hidden = !gone; });
  }

  ["htmx:sendError", "htmx:timeout"].forEach((name) => document.addEventListener(name, () => show(true)));

  document.addEventListener("htmx:beforeSwap", (event) => {
    if (!GONE.includes(event.detail.xhr.status)) return;
    event.detail.shouldSwap = false;
    show(true);
  });

  document.addEventListener("htmx:afterRequest", (event) => {
    const { xhr } = event.detail;
    if (xhr && xhr.status && !GONE.includes(xhr.status)) show(false);
  });
})();
