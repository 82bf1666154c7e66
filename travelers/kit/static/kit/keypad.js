/* Large keys for a reading, and the bar of limits that follows what is typed.
 *
 * Hooks: [data-shop-keypad] on the input; buttons [data-shop-key] with a digit,
 * "," (or "."), "-", "back" or "clear" in the same form; an svg.limits with its scale in
 * data attributes; [data-shop-verdict] for the words in its data-shop-inside,
 * data-shop-outside and data-shop-unreadable. The server decides
 * what a reading is worth; this only shows it early.
 */
(() => {
  "use strict";

  const NUMBER = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/;

  /* As people write it: comma or point, a sign; nothing else. */
  function parsed(text) {
    const clean = text.trim().replace("−", "-");
    return NUMBER.test(clean) ? Number(clean.replace(",", ".")) : null;
  }

  function typed(input, key) {
    const text = input.value;
    if (key === "back") return text.slice(0, -1);
    if (key === "clear") return "";
    if (key === "-") return text.startsWith("-") ? text.slice(1) : `-${text}`;
    if (key === "," || key === ".") return /[.,]/.test(text) ? text : `${text || "0"}${key}`;
    return text + key;
  }

  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element && event.target.closest("[data-shop-key]");
    if (!button) return;
    const room = button.closest("form") || document;
    const input = room.querySelector("[data-shop-keypad]");
    if (!input || input.disabled || input.readOnly) return;
    event.preventDefault();
    const longest = input.maxLength > 0 ? input.maxLength : 12;
    input.value = typed(input, button.dataset.shopKey).slice(0, longest);
    input.dispatchEvent(new Event("input", { bubbles: true }));
  });

  /* Where the keys are drawn the device's own keyboard stays away. */
  function still(room) {
    room.querySelectorAll("form:has([data-shop-key]) [data-shop-keypad]").forEach((field) => {
      field.inputMode = "none";
    });
  }
  document.addEventListener("htmx:load", (event) => still(event.detail.elt));
  still(document);

  /* Another gauge was chosen by hand: what it is read with, and when it is due. */
  document.addEventListener("change", (event) => {
    const chosen = event.target instanceof HTMLSelectElement && event.target.selectedOptions[0];
    const told = chosen && event.target.form && event.target.form.querySelector("[data-shop-gauge-with]");
    if (told && chosen.dataset.shopWith) told.textContent = chosen.dataset.shopWith;
  });

  function limit(bar, name) {
    const text = bar.dataset[name];
    return text === undefined ? null : Number(text);
  }

  function judged(bar, value) {
    const lower = limit(bar, "shopLower");
    const upper = limit(bar, "shopUpper");
    if ((lower !== null && value < lower) || (upper !== null && value > upper)) return "outside";
    return "inside";
  }

  function move(bar, value) {
    const pointer = bar.querySelector("[data-shop-pointer]");
    if (value === null) {
      pointer.setAttribute("visibility", "hidden");
      return;
    }
    const low = limit(bar, "shopLow");
    const left = limit(bar, "shopLeft");
    const share = (value - low) / (limit(bar, "shopHigh") - low);
    const x = left + (limit(bar, "shopRight") - left) * Math.min(1, Math.max(0, share));
    pointer.setAttribute("transform", `translate(${x} 0)`);
    pointer.setAttribute("visibility", "visible");
  }

  document.addEventListener("input", (event) => {
    const input = event.target;
    if (!(input instanceof Element) || !input.matches("[data-shop-keypad]")) return;
    const room = input.closest("form") || document;
    const bar = room.querySelector("svg.limits");
    const verdict = room.querySelector("[data-shop-verdict]");
    const value = parsed(input.value);
    if (bar) move(bar, value);
    if (!verdict) return;
    if (!input.value.trim()) verdict.textContent = "";
    else if (value === null) verdict.textContent = verdict.dataset.shopUnreadable || "";
    else if (bar) verdict.textContent = judged(bar, value) === "inside" ? verdict.dataset.shopInside || "" : verdict.dataset.shopOutside || "";
  });
})();
