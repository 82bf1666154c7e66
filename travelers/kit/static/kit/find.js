/* The key / goes to the field that finds everything.
 *
 * Hook: the field, data-shop-find.  Not while somebody writes, and not with other keys
 * held down.  A checkbox data-shop-find-key switches it off, as whoever speaks to the
 * machine may want; the choice stays with the device.
 */
(() => {
  "use strict";

  const STORE = "shop-find-key";
  const WRITES = "input:not([type=checkbox]):not([type=radio]):not([type=button]):not([type=submit]), textarea, select, [contenteditable]";
  const field = document.querySelector("[data-shop-find]");

  function wanted() {
    try {
      return localStorage.getItem(STORE) !== "off";
    } catch {
      return true;
    }
  }

  document.addEventListener("keydown", (event) => {
    const at = event.target;
    if (event.key !== "/" || !field || !wanted()) return;
    if (event.isComposing || event.ctrlKey || event.metaKey || event.altKey) return;
    if (at instanceof Element && at.matches(WRITES)) return;
    event.preventDefault();
    field.focus();
    field.select();
  });

  const box = document.querySelector("[data-shop-find-key]");
  if (box) {
    box.checked = wanted();
    box.addEventListener("change", () => {
      try {
        localStorage.setItem(STORE, box.checked ? "on" : "off");
      } catch {
        // Where nothing is stored the key goes on.
      }
    });
  }
})();
