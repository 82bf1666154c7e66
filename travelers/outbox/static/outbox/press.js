/* What does a form press, as records that can be kept and sent?
 *
 * self.shopPress: record(told) makes one with its own id, time and the page's pass;
 * composed(form, submitter) reads them out of a form, under the ids that it has: one,
 * or one for each part of a list; none for a form that presses nothing.
 * told(records) gives what goes along the usual way: what was pressed, the tablet's own
 * numbers, and what its clock said.
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

  function composed(form, submitter) {
    if (form.method !== "post") return [];
    const path = new URL(form.getAttribute("action") || "", location).pathname;
    if (path === `${root.dataset.here}several/`) return listed(form);
    const made = single(form, submitter, path);
    return made ? [made] : [];
  }

  /* A list that is confirmed: each part a press of its own, all of one load. */
  function listed(form) {
    const { wish, load, parts } = Object.fromEntries(new FormData(form));
    const several = { wish, load, parts };
    const made_at = new Date().toISOString();
    return [...form.querySelectorAll("[name=go]")].map((row) => {
      const [code, step, id] = row.value.split(" ");
      return record({ id, made_at, wish, code, step: Number(step) || null, several, data: wish === "LOAD" ? { load } : {} });
    });
  }

  function single(form, submitter, path) {
    const here = root.dataset.here;
    const known = [`${here}wish/`, `${here}reading/`, root.dataset.report].indexOf(path);
    if (known < 0 || !form.elements.event_id) return null;
    const { csrfmiddlewaretoken, event_id: id, wish, code, step, station, photos, ...data } = Object.fromEntries(new FormData(form));
    if (submitter && submitter.name) data[submitter.name] = submitter.value;
    const said = [wish, "READ", "DEFECT"][known];
    if (!said || (said === "MATE" && onlyLooks(data.mate, code))) return null;
    if (said === "USE" && self.shopParts.isOurs(data.serial || "")) return null;
    return record({ id: id || fresh(), wish: said, code: code || "", step: Number(step) || null, photos: Boolean(photos && photos.size), data });
  }

  function onlyLooks(mate, code) {
    const read = self.shopParts.codeIn(mate || "") || "";
    return read === code || "HGBCD".includes(read.charAt(0));
  }

  function told(records) {
    const [first] = records;
    const kept = first.number === undefined ? {} : { tablet_number: String(first.number) };
    if (!first.several) return { ...first.data, ...kept, tablet_at: first.made_at };
    const go = records.map(({ code, step, id, number }) => [code, step, id, number ?? ""].join(" ").trim());
    return { go, tablet_at: first.made_at };
  }

  self.shopPress = { composed, record, told, fresh };
})();
