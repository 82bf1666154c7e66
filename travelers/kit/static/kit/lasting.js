/* Says on how long something has lasted, so that the page need not be drawn for it.
 *
 * Hooks: [data-shop-lasting], the seconds that it had lasted when it was drawn, within
 * an element with the words (data-shop-days, -hours, -minutes); [data-shop-due], the
 * seconds after which a part of the page is to be asked for anew: it hears "shop:due"
 * then, unless somebody types. Counted by the page's own running time: whatever the
 * tablet's clock says, it is right.
 *
 * shopLasting.said(seconds, words) says a length, with an element's dataset as words.
 */
(() => {
  "use strict";

  const LOOK_MS = 5000;
  const begun = new WeakMap();

  /* Seconds since an element was first seen here. */
  function stood(element) {
    if (!begun.has(element)) begun.set(element, performance.now());
    return (performance.now() - begun.get(element)) / 1000;
  }

  /* A length in its two largest units, as the server says it. */
  function said(seconds, words) {
    const all = Math.max(0, Math.round(seconds / 60));
    const days = Math.floor(all / 1440);
    const hours = Math.floor((all % 1440) / 60);
    const minutes = all % 60;
    const told = { days, hours, minutes, n: minutes };
    const word = days ? words.shopDays : hours ? words.shopHours : words.shopMinutes;
    return word.replace(/\{(\w+)\}/g, (_, name) => told[name]);
  }

  function typing() {
    return Boolean(self.shopOutbox && self.shopOutbox.typing());
  }

  function look() {
    document.querySelectorAll("[data-shop-lasting]").forEach((one) => {
      const text = said(Number(one.dataset.shopLasting) + stood(one), one.closest("[data-shop-days]").dataset);
      if (one.textContent !== text) one.textContent = text;
    });
    document.querySelectorAll("[data-shop-due]").forEach((one) => {
      if (stood(one) >= Number(one.dataset.shopDue) && !typing()) one.dispatchEvent(new CustomEvent("shop:due"));
    });
  }

  self.shopLasting = { said };
  look();
  document.addEventListener("htmx:load", look);
  setInterval(look, LOOK_MS);
})();
