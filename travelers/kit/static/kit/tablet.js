/* What a tablet keeps for itself: its size, and light or dark.
 *
 * Runs in the head, so that a page is drawn right at once. Hooks: the sheet
 * link[data-shop-night], whose media is turned; buttons data-shop-light (the other
 * one) and data-shop-size-set="S|M|L"; what is hidden without script is shown,
 * [data-shop-light] and [data-shop-tablet].
 *
 * How large is a millimetre here? No browser knows. [data-shop-card] is the picture of
 * a bank card, 85.60 mm wide (ISO/IEC 7810, ID-1); buttons data-shop-wider="2" make it
 * as wide as a real one that is held to it. Then [data-shop-key-mm="S"] say how many
 * mm a main button has in each size, and [data-shop-fits="S"] is shown at the smallest
 * in which it has 20 mm.
 */
(() => {
  "use strict";

  const SIZES = ["S", "M", "L"];
  // 4.8rem of station.css at 100, 125 and 154 %.
  const KEY_PX = { S: 76.8, M: 96, L: 118.27 };
  // 20 mm, and a little more: then letters of 1rem have 16 minutes of arc at 60 cm.
  const KEY_MM = 20.1;
  const CARD_MM = 85.6;
  // As style sheets reckon: 96 px an inch, until somebody holds a card to the screen.
  const USUAL = 96 / 25.4;
  const DARK = "(prefers-color-scheme: dark)";

  function kept(name) {
    try {
      return localStorage.getItem(`shop-tablet-${name}`);
    } catch {
      return null;
    }
  }

  function keep(name, value) {
    try {
      localStorage.setItem(`shop-tablet-${name}`, value);
    } catch {
      // A device that keeps nothing is as it was at the next page.
    }
  }

  function size() {
    const chosen = kept("size");
    return SIZES.includes(chosen) ? chosen : "M";
  }

  function isDark() {
    const chosen = kept("light");
    return chosen ? chosen === "dark" : matchMedia(DARK).matches;
  }

  function dress() {
    document.documentElement.dataset.shopSize = size();
    const night = document.querySelector("link[data-shop-night]");
    if (night && kept("light")) night.media = isDark() ? "all" : "not all";
  }

  function pxPerMm() {
    const told = Number(kept("px-per-mm"));
    return told > 1 && told < 40 ? told : USUAL;
  }

  function measure() {
    const card = document.querySelector("[data-shop-card]");
    if (!card) return;
    const scale = pxPerMm();
    card.setAttribute("width", CARD_MM * scale);
    const fits = SIZES.find((one) => KEY_PX[one] / scale >= KEY_MM) || "L";
    SIZES.forEach((one) => {
      const mm = document.querySelector(`[data-shop-key-mm=${one}]`);
      if (mm) mm.textContent = Math.round(KEY_PX[one] / scale);
      const word = document.querySelector(`[data-shop-fits=${one}]`);
      if (word) word.hidden = one !== fits;
      const button = document.querySelector(`[data-shop-size-set=${one}]`);
      if (button) button.setAttribute("aria-pressed", String(one === size()));
    });
  }

  function wider(px) {
    keep("px-per-mm", Math.min(20, Math.max(2, pxPerMm() + px / CARD_MM)));
    measure();
  }

  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element && event.target.closest("button");
    if (!button) return;
    const { shopLight, shopSizeSet, shopWider } = button.dataset;
    if (shopLight !== undefined) keep("light", isDark() ? "light" : "dark");
    if (SIZES.includes(shopSizeSet)) keep("size", shopSizeSet);
    if (shopWider) wider(Number(shopWider));
    dress();
    measure();
  });

  dress();
  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-shop-light], [data-shop-tablet]").forEach((one) => {
      one.hidden = false;
    });
    measure();
  });
})();
