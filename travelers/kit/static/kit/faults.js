/* Nothing could be stored: the plate that says so comes once and goes by itself.
 *
 * Hook: data-shop-fault on the plate (kit/refusal.html). htmx puts it above what
 * stands in the target, so that the same button can be pressed again. A newer plate
 * takes the place of the older one; a screen that asks by itself every few seconds
 * leaves the first one standing. The next good answer takes it away.
 */
(() => {
  "use strict";

  const PLATE = "[data-shop-fault]";

  document.addEventListener("htmx:beforeSwap", (event) => {
    const { xhr, requestConfig, target } = event.detail;
    if (xhr.status < 500) return;
    const old = target.querySelector(PLATE);
    if (!old) return;
    const asking = (requestConfig.elt.getAttribute("hx-trigger") || "").startsWith("every");
    if (asking) event.detail.shouldSwap = false;
    else old.remove();
  });

  document.addEventListener("htmx:afterRequest", (event) => {
    const { xhr } = event.detail;
    if (!xhr || !xhr.status || xhr.status >= 500) return;
    document.querySelectorAll(PLATE).forEach((plate) => plate.remove());
  });
})();
