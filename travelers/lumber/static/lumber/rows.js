/* Enter and the arrow keys go from cell to cell in rows of planks, as on a paper list.
 *
 * Hook: data-shop-rows on a table of inputs. From the last cell Enter asks for
 * more rows where there are any to be had. Up and down keep the column; left and
 * right leave a cell only at the end of what is in it. Without this script Enter
 * presses the form's first button, which adds rows and takes nothing in.
 */
(() => {
  "use strict";

  const CELLS = "input:not([type=checkbox])";

  function leaves(input, key) {
    const { selectionStart, selectionEnd, value } = input;
    const all = selectionStart === 0 && selectionEnd === value.length;
    if (key === "ArrowLeft") return all || selectionEnd === 0;
    if (key === "ArrowRight") return all || selectionStart === value.length;
    return true;
  }

  function next(table, input, key) {
    const cells = [...table.querySelectorAll(CELLS)];
    const wide = input.closest("tr").querySelectorAll(CELLS).length;
    const steps = { Enter: 1, ArrowRight: 1, ArrowLeft: -1, ArrowDown: wide, ArrowUp: -wide };
    return cells[cells.indexOf(input) + steps[key]];
  }

  document.addEventListener("keydown", (event) => {
    const { key, target } = event;
    if (!(key === "Enter" || key.startsWith("Arrow")) || event.isComposing) return;
    if (event.ctrlKey || event.altKey || event.metaKey || event.shiftKey) return;
    const table = target instanceof Element && target.closest("[data-shop-rows]");
    if (!table || !target.matches(CELLS) || !leaves(target, key)) return;
    const cell = next(table, target, key);
    if (!cell) return;
    event.preventDefault();
    cell.focus();
    cell.select();
  });
})();
