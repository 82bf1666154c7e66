/* Enter goes from cell to cell in rows of planks, as on a paper list.
 *
 * Hook: data-shop-rows on a table of inputs. From the last cell Enter asks for
 * more rows where there are any to be had. Without this script Enter presses the
 * form's first button, which adds rows and takes nothing in.
 */
(() => {
  "use strict";

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.ctrlKey || event.isComposing) return;
    const table = event.target instanceof Element && event.target.closest("[data-shop-rows]");
    if (!table || event.target.tagName !== "INPUT") return;
    const cells = [...table.querySelectorAll("input")];
    const next = cells[cells.indexOf(event.target) + 1];
    if (!next) return;
    event.preventDefault();
    next.focus();
    next.select();
  });
})();
