/* A scanned command card presses what the screen offers for it.
 *
 * Hooks: data-shop-command="START NEXT" on a button, link, choice or summary names the
 * cards that press it; data-shop-card="D0000…" does the same for one code, where a card
 * is made for a thing of the shop. Of several the first that is in sight is pressed.
 * Digit cards type on the keys of the check that is open. data-shop-fill="an id" writes
 * the button's own words into that field.
 *
 * wedge.js announces each scan as "shop:card"; a press that this makes takes the
 * scan (preventDefault), and says in detail.asks who asks the server, so that the next
 * scan waits for the answer. A card that nothing here obeys goes to the server like any
 * scan, which says in words what goes now.
 */
(() => {
  "use strict";

  const CARDS = {
    C000010E: "START",
    C000020A: "DONE",
    C0000306: "LOAD",
    C0000402: "TAKE_OUT",
    C000050Z: "DEFECT",
    C000060V: "HOLD",
    C000070R: "UNDO",
    C000080N: "YES",
    C000090J: "NO",
    C0000A0F: "OK",
    C0000B0B: "CLEAR",
    C0000C07: "NEXT",
    C0000D03: "LIST",
    C0000E00: "POINT",
    C0000F0W: "MINUS",
    C0000M04: "DIGIT_0",
    C0000N0X: "DIGIT_1",
    C0000P0P: "DIGIT_2",
    C0000Q1J: "DIGIT_3",
    C0000R0H: "DIGIT_4",
    C0000S0D: "DIGIT_5",
    C0000T09: "DIGIT_6",
    C0000V01: "DIGIT_7",
    C0000W0Y: "DIGIT_8",
    C0000X1S: "DIGIT_9",
    C0000Y0Q: "MINOR",
    C0000Z0M: "MAJOR",
    C000100A: "STOP",
    C000180F: "REASON_WOOD",
    C000190B: "REASON_SIZE",
    C0001A07: "REASON_SURFACE",
    C0001B03: "REASON_PART",
    C0001C00: "REASON_MACHINE",
    C0001D0W: "REASON_ASK",
  };
  const CODE = /(?:^|\/T\/)([CD][0-9A-Z]{3})-?([0-9A-Z]{4})$/;
  // Digits have no button of their own but the keys of the check.
  const KEYS = { POINT: '[data-shop-key="."], [data-shop-key=","]', MINUS: '[data-shop-key="-"]', CLEAR: "[data-shop-keypad]" };

  function code(text) {
    const found = CODE.exec(text.trim().toUpperCase());
    return found ? found[1] + found[2] : "";
  }

  function hooks(scanned) {
    const name = CARDS[scanned];
    if (!name) return `[data-shop-card="${scanned}"]`;
    const digit = name.startsWith("DIGIT_") ? `[data-shop-key="${name.slice(6)}"]` : KEYS[name];
    return `[data-shop-command~="${name}"]${digit ? `, ${digit}` : ""}`;
  }

  /* What hangs in a folded part of the page is not offered now; a choice may be drawn
   * by its label alone. */
  function offered(element) {
    const seen = element.labels && element.labels.length ? element.labels[0] : element;
    // What is folded keeps its boxes in some browsers; a summary stands outside.
    const folded = !seen.matches("summary") && seen.closest("details:not([open])");
    return !element.disabled && !folded && seen.getClientRects().length > 0;
  }

  /* A choice among those folded away may be named by its card all the same. */
  function unfolded(element) {
    const folded = element.matches("input") && element.labels[0].closest("details:not([open])");
    if (folded) folded.open = true;
    return Boolean(folded);
  }

  function asks(element) {
    if (element.matches("a[href]")) return element;
    return element.matches("button[type=submit], button:not([type])") ? element.form : null;
  }

  function press(element) {
    if (element.matches("[data-shop-keypad]")) {
      element.value = "";
      element.dispatchEvent(new Event("input", { bubbles: true }));
    } else if (element.matches("summary")) {
      if (!element.parentElement.open) element.click();
    } else if (asks(element) === element.form && element.form) {
      // No click: a finger's second tap is ignored for a while, a card's never. htmx
      // 2.0 sends the button's own value only of one that was clicked or has the focus.
      element.focus({ preventScroll: true });
      element.form.requestSubmit(element);
    } else element.click();
  }

  document.addEventListener("shop:card", (event) => {
    const scanned = code(event.detail.text);
    if (!scanned) return;
    const hooked = [...document.querySelectorAll(hooks(scanned))];
    const element = hooked.find(offered) || hooked.find(unfolded);
    if (!element) return;
    event.preventDefault();
    const asked = asks(element);
    // What a form still lacks is said by the browser; nothing is sent to wait for.
    const sent = !(asked instanceof HTMLFormElement) || asked.noValidate || asked.checkValidity();
    event.detail.asks = sent ? asked : null;
    event.detail.press = () => press(element);
  });

  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element && event.target.closest("[data-shop-fill]");
    if (!button) return;
    const field = document.getElementById(button.dataset.shopFill);
    field.value = button.textContent.trim();
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
})();
