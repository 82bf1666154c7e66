/* Every deed has a number of its own, so that a repeated one is known as such.
 *
 * Forms carry a hidden event_id from the server. The same press sent again after
 * a lost answer keeps its number; another deed, or a page that came back with a
 * used number, gets a fresh one. getRandomValues, because randomUUID is missing
 * on plain http.
 */
(() => {
  "use strict";

  const NAME = "event_id";
  const used = new WeakMap();

  function fresh() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  }

  /* What is being sent, without number and token: the same text is the same deed. */
  function content(form, submitter) {
    const sent = [];
    for (const [name, value] of new FormData(form)) {
      if (name === NAME || name === "csrfmiddlewaretoken") continue;
      sent.push([name, value instanceof File ? `${value.name} ${value.size} ${value.lastModified}` : value]);
    }
    if (submitter && submitter.name) sent.push([submitter.name, submitter.value]);
    return JSON.stringify(sent);
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    const id = form.elements.namedItem(NAME);
    if (!id || event.defaultPrevented) return;
    const now = content(form, event.submitter);
    const then = used.get(id);
    if (!id.value || (then && (then.answered || then.content !== now))) id.value = fresh();
    used.set(id, { content: now, answered: false });
  }, true);

  function answered(form) {
    const id = form && form.elements.namedItem(NAME);
    const sent = id && used.get(id);
    if (sent) sent.answered = true;
  }

  document.addEventListener("htmx:afterRequest", (event) => {
    // Status 0 means that no answer came, 500 and more that the server could not
    // give one and may have stored it: the number stays for the repetition.
    // Who asked stands in the request; the event comes to what replaced the form.
    const { requestConfig, xhr } = event.detail;
    if (xhr && xhr.status && xhr.status < 500) answered(requestConfig.elt.closest("form"));
  });
  document.addEventListener("shop:answered", (event) => {
    if (event.target instanceof Element) answered(event.target.closest("form"));
  });

  window.addEventListener("pageshow", (event) => {
    const entry = performance.getEntriesByType("navigation")[0];
    const back = event.persisted || (entry && entry.type === "back_forward");
    if (!back) return;
    document.querySelectorAll(`input[name=${NAME}]`).forEach((id) => {
      id.value = fresh();
      used.delete(id);
    });
  });
})();
