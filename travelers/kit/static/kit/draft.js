/* What was typed is not lost: not by a reload, a dead network or a signed-out hour.
 *
 * Hook: data-shop-draft="a name of its own" on a form. What is typed is kept in
 * this tab, under the person (body's data-shop-person), until the server has taken
 * it; never passwords, files, hidden or unnamed fields. After a new sign-in the
 * form is filled again. One person's draft is never shown to another. A field with
 * data-shop-given was filled by a deed since (a scanned gauge) and keeps that.
 * self.shopDraft, for a script that draws forms by itself: restore(room) fills them,
 * forget(name) throws away what was taken.
 */
(() => {
  "use strict";

  const PENDING = "shop-draft-sent";
  const SKIP = new Set(["password", "file", "hidden", "submit", "image", "button", "reset"]);

  function store(name, value) {
    try {
      if (value === null) sessionStorage.removeItem(name);
      else sessionStorage.setItem(name, value);
    } catch {
      // Without storage a form is as forgetful as any other.
    }
  }

  function stored(name) {
    try {
      return sessionStorage.getItem(name);
    } catch {
      return null;
    }
  }

  function person() {
    return document.body.dataset.shopPerson || "";
  }

  function keyOf(name) {
    return `shop-draft:${person()}:${name}`;
  }

  function key(form) {
    return keyOf(form.dataset.shopDraft);
  }

  function fields(form) {
    return [...form.elements].filter((f) => f.name && f.type && !SKIP.has(f.type) && f.tagName !== "FIELDSET");
  }

  function kept(form) {
    return fields(form).map((f) => {
      if (f.type === "checkbox" || f.type === "radio") return [f.name, f.value, f.checked];
      if (f.multiple) return [f.name, [...f.selectedOptions].map((o) => o.value), true];
      return [f.name, f.value, true];
    });
  }

  function fill(form, draft) {
    draft.forEach(([name, value, on]) => {
      fields(form).filter((f) => f.name === name && f.dataset.shopGiven === undefined).forEach((f) => {
        if (f.type === "checkbox" || f.type === "radio") {
          if (f.value === value) f.checked = on;
        } else if (Array.isArray(value)) {
          [...f.options].forEach((o) => { o.selected = value.includes(o.value); });
        } else f.value = value;
      });
    });
  }

  function save(event) {
    const form = event.target.form;
    if (form && form.dataset.shopDraft) store(key(form), JSON.stringify(kept(form)));
  }

  function restore(room) {
    room.querySelectorAll("form[data-shop-draft]").forEach((form) => {
      const draft = stored(key(form));
      if (!draft || form.dataset.shopDraftFilled !== undefined) return;
      form.dataset.shopDraftFilled = "";
      try {
        fill(form, JSON.parse(draft));
      } catch {
        store(key(form), null);
        return;
      }
      form.querySelectorAll("[data-shop-keypad]").forEach((f) => f.dispatchEvent(new Event("input", { bubbles: true })));
    });
  }

  function refusedIn(room) {
    return Boolean(room.querySelector("[data-shop-refusal], [aria-invalid=true], [data-shop-signin]"));
  }

  document.addEventListener("input", save);
  document.addEventListener("change", save);

  /* Sent the plain way: the next page tells whether it was taken. */
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.dataset.shopDraft && !event.defaultPrevented) store(PENDING, key(form));
  });

  document.addEventListener("htmx:afterRequest", (event) => {
    const { requestConfig, xhr, successful } = event.detail;
    // Who asked stands there; the event itself comes to what replaced the form.
    const form = requestConfig.elt.closest("form[data-shop-draft]");
    if (!form) return;
    store(PENDING, null);
    // A page that asks to sign in again is an answer, but not to this form.
    const elsewhere = xhr.getResponseHeader("HX-Redirect") || xhr.responseText.includes("data-shop-signin");
    if (successful && !elsewhere && !xhr.responseText.includes("data-shop-refusal")) store(key(form), null);
  });
  document.addEventListener("shop:answered", (event) => {
    const form = event.target instanceof Element && event.target.closest("form[data-shop-draft]");
    if (!form || (event.detail && event.detail.taken === false)) return;
    store(PENDING, null);
    store(key(form), null);
  });

  function settle() {
    const sent = stored(PENDING);
    store(PENDING, null);
    if (sent && !refusedIn(document)) store(sent, null);
  }

  self.shopDraft = { restore, forget: (name) => store(keyOf(name), null) };
  settle();
  restore(document);
  document.addEventListener("htmx:load", (event) => restore(event.detail.elt.parentNode || document));
})();
