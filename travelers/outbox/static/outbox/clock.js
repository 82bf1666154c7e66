/* How far is this tablet's clock off?
 *
 * self.shopClock.measure(sent, received, headers) learns from an answer: the server
 * says the time as it answers (Shop-Time in milliseconds, else Date in seconds), and
 * half of the way there and back is taken off. The best of the latest measures
 * counts. offset() is what must be added to this clock, null while nothing is known.
 * A clock that is set back while the page stands is noticed by the page's own
 * running time; one that jumps ahead has slept.
 */
(() => {
  "use strict";

  const LATEST = 8;
  const JUMP_MS = 2000;
  const EDGE_MS = 120000;
  let measures = [];
  let known = null;
  let base = Date.now() - performance.now();

  function measure(sent, received, headers) {
    jumped();
    if (received < sent) return;
    const own = Number(headers.get("Shop-Time"));
    const date = own || Date.parse(headers.get("Date") || "");
    if (!Number.isFinite(date) || !date) return;
    // A second that is written without its parts is on average half over.
    const there = own || date + 500;
    const doubt = (received - sent) / 2 + (own ? 0 : 500);
    measures.push({ offset: there - (sent + received) / 2, doubt });
    measures = measures.slice(-LATEST);
    known = measures.reduce((best, one) => (one.doubt < best.doubt ? one : best)).offset;
    self.shopStore.note("offset", known).catch(() => {});
  }

  function jumped() {
    const now = Date.now() - performance.now();
    const by = now - base;
    if (Math.abs(by) < JUMP_MS) return;
    base = now;
    measures = [];
    if (by < 0 && known !== null) known -= by;
  }

  function offset() {
    jumped();
    return known === null ? null : Math.round(known);
  }

  function now() {
    return Date.now() + (offset() || 0);
  }

  /* Minutes that this clock is ahead; 0 where nobody need care. */
  function ahead() {
    const off = offset();
    return off === null || Math.abs(off) <= EDGE_MS ? 0 : -Math.round(off / 60000);
  }

  self.shopStore.noted("offset").then((value) => { if (known === null) known = value; }).catch(() => {});
  self.shopClock = { measure, offset, now, ahead };
})();
