/* What this person pressed last at this station, to be taken back without network.
 *
 * self.shopUndo: load() reads what is noted; note(record, before, title) notes one more,
 * with its part as it lay before; last(seconds) gives the newest, if one touch may take
 * it back, by the same rule as the server's; taken(id) gives a press that is taken back
 * and forgets it; without(rows) forgets what the server refused. A press that still
 * waits is not pulled out of the store: whether it was heard nobody here can know.
 */
(() => {
  "use strict";

  const UNDOABLE = ["START", "FINISH", "LOAD", "TAKE_OUT", "READ", "MATE", "USE", "ALLOW"];
  const MOST = 30;
  const url = document.getElementById("outbox")?.dataset.due;
  const person = document.body.dataset.shopPerson || "";
  let done = [];

  async function load() {
    const kept = await self.shopStore.noted("done").catch(() => null);
    // Another person's presses are nobody's to take back with one touch.
    done = (kept || done).filter((one) => one.person === person);
  }

  function keep() {
    done = done.slice(-MOST);
    return self.shopStore.note("done", done).catch(() => {});
  }

  function note({ id, wish, code, step }, before, title) {
    // A question takes nothing away from the press before it.
    if (wish === "ASK") return Promise.resolve();
    done.push({ url, person, id, wish, code, step, title, at: self.shopClock.now(), before });
    return keep();
  }

  function last(seconds) {
    const newest = done.filter((one) => one.url === url).pop();
    if (!newest || !UNDOABLE.includes(newest.wish)) return null;
    return self.shopClock.now() - newest.at <= seconds * 1000 ? newest : null;
  }

  /* Is it sure that a touch takes this one back no more?  Of others nothing is known. */
  function isPast(id, seconds) {
    const newest = last(seconds);
    return done.some((one) => one.id === id) && !(newest && newest.id === id);
  }

  function taken(id) {
    const found = done.find((one) => one.id === id) || null;
    done = done.filter((one) => one.id !== id);
    keep();
    return found;
  }

  async function without(rows) {
    const gone = new Set(rows.map(({ id }) => id));
    if (!done.some(({ id }) => gone.has(id))) return;
    done = done.filter(({ id }) => !gone.has(id));
    await keep();
  }

  self.shopUndo = { load, note, last, isPast, taken, without };
})();
