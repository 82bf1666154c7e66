/* A board that is drawn afresh every few seconds keeps its reader's place.
 *
 * Hook: data-shop-keep-place on what htmx replaces. The link with the focus is found
 * again by its address, and an opened table (data-shop-keep-open) stays open. The
 * same links and tables come twice, so each is known by how many come before it.
 */
(() => {
  "use strict";

  let kept = null;

  function links(room) {
    return [...room.querySelectorAll("a[href], summary, [tabindex]")];
  }

  document.addEventListener("htmx:beforeSwap", (event) => {
    const room = event.detail.target;
    if (!room || !room.matches("[data-shop-keep-place]")) return;
    const at = links(room).indexOf(document.activeElement);
    const open = [...room.querySelectorAll("details[data-shop-keep-open][open]")];
    const wide = room.querySelector(".fb-room");
    kept = {
      id: room.id,
      address: at < 0 ? null : document.activeElement.getAttribute("href"),
      at,
      open: open.map((one) => one.dataset.shopKeepOpen),
      across: wide ? wide.scrollLeft : 0,
    };
  });

  document.addEventListener("htmx:afterSwap", () => {
    const room = kept && document.getElementById(kept.id);
    if (!room) return;
    room.querySelectorAll("details[data-shop-keep-open]").forEach((one) => {
      one.open = kept.open.includes(one.dataset.shopKeepOpen);
    });
    const wide = room.querySelector(".fb-room");
    if (wide) wide.scrollLeft = kept.across;
    if (kept.at >= 0) {
      const all = links(room);
      const same = all[kept.at];
      const found = same && same.getAttribute("href") === kept.address
        ? same
        : all.find((one) => one.getAttribute("href") === kept.address);
      if (found) found.focus({ preventScroll: true });
    }
    kept = null;
  });
})();
