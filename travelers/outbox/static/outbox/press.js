/* What does a form press, as a record that can be kept and sent?
 *
 * self.shopPress: record(told) makes one with its own id, time and the page's pass;
 * composed(form, submitter) reads it out of a form, under the id that the form has.
 */
(() => {
  "use strict";

  const root = document.getElementById("outbox");
  const clock = self.shopClock;

  function fresh() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  }

  function record(told) {
    const { send: url, pass } = root.dataset;
    return { id: fresh(), made_at: new Date().toISOString(), offset_ms: clock.offset(), pass, code: "", step: null, title: "", url, ...told };
  }

  /* The press that a form makes; null for a form that makes none. */
  function composed(form, submitter) {
    const path = new URL(form.getAttribute("action") || "", location).pathname;
    const here = root.dataset.here;
    const known = [`${here}wish/`, `${here}reading/`, root.dataset.report].indexOf(path);
    if (known < 0 || form.method !== "post" || !form.elements.event_id) return null;
    const { csrfmiddlewaretoken, event_id: id, wish, code, step, station, photos, ...data } = Object.fromEntries(new FormData(form));
    if (submitter && submitter.name) data[submitter.name] = submitter.value;
    const said = [wish, "READ", "DEFECT"][known];
    if (!said || (said === "MATE" && onlyLooks(data.mate, code))) return null;
    return record({ id: id || fresh(), wish: said, code: code || "", step: Number(step) || null, photos: Boolean(photos && photos.size), data });
  }

  function onlyLooks(mate, code) {
    const read = self.shopParts.codeIn(mate || "") || "";
    return read === code || "HGCD".includes(read.charAt(0));
  }

  self.shopPress = { composed, record };
})();
