/* Number and PIN by the large keys: the keys type into one field, then the next.
 *
 * The key field is the one with data-shop-keypad (keypad.js): the field that was
 * touched last, or the next once one is full.
 */
(() => {
  "use strict";

  const form = document.querySelector("form:has(#pin)");
  if (!form) return;
  const fields = [form.querySelector("#number"), form.querySelector("#pin")];

  function turnTo(field) {
    fields.forEach((one) => one.toggleAttribute("data-shop-keypad", one === field));
  }

  form.addEventListener("focusin", (event) => {
    if (fields.includes(event.target)) turnTo(event.target);
  });
  form.addEventListener("input", () => {
    const [number, pin] = fields;
    const full = number.value.length >= number.maxLength;
    // The focus stays: a scan types into the field that has it, and is taken back there.
    if (full && number.hasAttribute("data-shop-keypad") && document.activeElement !== number) turnTo(pin);
  });
  form.addEventListener("click", (event) => {
    const key = event.target instanceof Element && event.target.closest("[data-shop-key=back]");
    const [number, pin] = fields;
    if (key && pin.hasAttribute("data-shop-keypad") && !pin.value) turnTo(number);
  }, true);
  // Where the keys are drawn the device's own keyboard stays away.
  fields.forEach((field) => { field.inputMode = "none"; });
})();
