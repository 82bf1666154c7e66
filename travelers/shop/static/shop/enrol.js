/* A code scanned from the lead's screen stands behind the mark # of the address.
 *
 * Hook: the form [data-shop-enrol] with the field "code". What stands there is put
 * into the field and taken out of the address, so that no history keeps it.
 */
(() => {
  "use strict";

  const form = document.querySelector("[data-shop-enrol]");
  const code = decodeURIComponent(location.hash.slice(1));
  if (!form || !code) return;
  form.elements.namedItem("code").value = code;
  history.replaceState(null, "", location.pathname);
})();
