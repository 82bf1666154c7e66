/* Nobody goes for good while something waits in the tablet, and nothing of a person
 * stays for the next.
 *
 * Hook: the form that signs out, known by data-shop-leave or by where it leads; the
 * question is in its data-shop-leave, else in the body's. Pages that were kept for
 * the time without network are forgotten as soon as another person, or nobody, is
 * signed in (body's data-shop-person), and with "shop:leaving" before the server has
 * heard of it. Whoever keeps things says how many wait in
 * localStorage under "shop-waiting".
 */
(() => {
  "use strict";

  const PERSON = "shop-person";
  const WAITING = "shop-waiting";

  function stored(name) {
    try {
      return localStorage.getItem(name);
    } catch {
      return null;
    }
  }

  function forgetPages() {
    if (!self.caches) return;
    caches.keys().then((names) => names
      .filter((name) => name.startsWith("shop-pages-"))
      .forEach((name) => caches.delete(name))).catch(() => {});
  }

  const person = document.body.dataset.shopPerson || "";
  if (stored(PERSON) !== person) {
    forgetPages();
    try {
      localStorage.removeItem("shop-touched");
      localStorage.setItem(PERSON, person);
    } catch {
      // Where nothing is stored nothing was kept.
    }
  }

  document.addEventListener("shop:leaving", forgetPages);
  document.addEventListener("submit", (event) => {
    const form = event.target;
    const leaves = form.dataset.shopLeave !== undefined || new URL(form.action, location).pathname.endsWith("/sign-out/");
    if (!leaves) return;
    const count = Number(stored(WAITING)) || 0;
    const question = form.dataset.shopLeave || document.body.dataset.shopLeave || "";
    if (count && question && !confirm(question.replace("{n}", count))) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    forgetPages();
  }, true);
})();
