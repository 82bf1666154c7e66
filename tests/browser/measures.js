/* What a page looks like to a finger and an eye: boxes, sizes, what lies on top.
 *
 * Put into a page by measures.py; every answer is what the browser has laid out.
 */
window.measures = (() => {
  "use strict";

  const CONTROLS = "a[href], button, input:not([type=hidden]), select, textarea, summary";
  const FIELDS = "input:not([type=hidden], [type=image]), select, textarea";
  const SAYS_NOTHING = new Set(["SCRIPT", "STYLE", "TITLE", "DESC", "OPTION"]);

  /* Not hidden, not folded away, not for screen readers alone. */
  function seen(one) {
    const shown = one.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true });
    return shown && !one.closest(".out-of-sight, .skip");
  }

  function said(one) {
    const text = one.innerText || one.getAttribute("aria-label") || one.value || one.name;
    return (text || one.tagName).trim().replace(/\s+/g, " ").slice(0, 40);
  }

  /* Every control with the box that a finger may touch: a tick's is its label's. */
  function controls() {
    return [...document.querySelectorAll(CONTROLS)].filter(seen).map((one) => {
      const tick = one.matches("[type=radio], [type=checkbox]");
      const area = (tick && one.closest("label")) || one;
      const box = area.getBoundingClientRect();
      const inText = one.tagName === "A" && getComputedStyle(one).display === "inline";
      return { said: said(area), x: box.x, y: box.y + scrollY, wide: box.width, high: box.height, inText };
    });
  }

  function px(one) {
    return parseFloat(getComputedStyle(one).fontSize);
  }

  /* Every piece of text with its size as painted; drawings are scaled. */
  function texts() {
    const found = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const one = node.parentElement;
      const text = node.textContent.trim();
      if (!text || SAYS_NOTHING.has(one.tagName.toUpperCase()) || !seen(one)) continue;
      const scale = one instanceof SVGElement ? one.getScreenCTM().d : 1;
      found.push({ said: text.slice(0, 40), px: px(one) * scale });
    }
    const fields = [...document.querySelectorAll(FIELDS)].filter(seen);
    return found.concat(fields.map((one) => ({ said: said(one), px: px(one) })));
  }

  function operations() {
    return [...document.querySelectorAll(".operation")].filter(seen).map(px);
  }

  /* Where a thing stands, and whether a finger on its middle and corners meets it. */
  function reach(selector) {
    return [...document.querySelectorAll(selector)].filter(seen).map((one) => {
      const box = one.getBoundingClientRect();
      const spots = [[0.5, 0.5], [0.04, 0.1], [0.96, 0.1], [0.04, 0.9], [0.96, 0.9]];
      const met = spots.every(([across, down]) => {
        const at = document.elementFromPoint(box.x + box.width * across, box.y + box.height * down);
        return at && one.contains(at);
      });
      const inside = box.top > -1 && box.left > -1 && box.bottom < innerHeight + 1 && box.right < innerWidth + 1;
      return { inside, met, right: box.right, bottom: box.bottom, wide: innerWidth, high: innerHeight };
    });
  }

  /* What makes the page wider than the screen; tables and boards may be pushed. */
  function stickingOut() {
    if (document.documentElement.scrollWidth <= innerWidth) return [];
    const wide = [...document.querySelectorAll("body *")].filter((one) =>
      one.getBoundingClientRect().right > innerWidth + 0.5 && !one.closest(".table-room, .fb-room"));
    return [`page ${document.documentElement.scrollWidth}`].concat(
      wide.slice(0, 4).map((one) => `${one.tagName} ${one.getAttribute("class")}`));
  }

  return { controls, texts, operations, reach, stickingOut };
})();
