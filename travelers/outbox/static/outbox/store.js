/* What a tablet keeps: presses that wait for the server's answer, refusals that
 * nobody has seen yet, and what is due at its stations.
 *
 * self.shopStore, for a page and for the worker alike; every function gives a
 * promise. A press is on the disk when add() has kept its promise. Its running
 * number is the key of the store and never given out twice.
 */
(() => {
  "use strict";

  const NAME = "shop-outbox";
  const VERSION = 1;
  const spare = [];
  let opened = null;

  function open() {
    if (opened) return opened;
    opened = new Promise((done, fail) => {
      const asked = indexedDB.open(NAME, VERSION);
      asked.onupgradeneeded = () => {
        const base = asked.result;
        const waiting = base.createObjectStore("waiting", { keyPath: "number", autoIncrement: true });
        waiting.createIndex("id", "id", { unique: true });
        base.createObjectStore("refused", { keyPath: "id" });
        base.createObjectStore("due", { keyPath: "url" });
        base.createObjectStore("notes", { keyPath: "name" });
      };
      asked.onsuccess = () => {
        // A newer page wants another shape: let it have it.
        asked.result.onversionchange = () => { asked.result.close(); opened = null; };
        asked.result.onclose = () => { opened = null; };
        done(asked.result);
      };
      asked.onerror = () => fail(asked.error);
      asked.onblocked = () => fail(new Error("blocked"));
    });
    opened.catch(() => { opened = null; });
    return opened;
  }

  /* Does something in one transaction; done when it is on the disk. */
  async function inOne(names, mode, deed) {
    const base = await open();
    return new Promise((done, fail) => {
      const one = base.transaction(names, mode, { durability: "strict" });
      let result;
      one.oncomplete = () => done(result);
      one.onabort = () => fail(one.error || new Error("aborted"));
      deed((name) => one.objectStore(name), (value) => { result = value; }, one);
    });
  }

  function read(name, how, ...asked) {
    return inOne([name], "readonly", (store, give) => {
      store(name)[how](...asked).onsuccess = (event) => give(event.target.result);
    });
  }

  /* Keeps presses in their order, all of them or none; one that is kept already stays
   * as it is. Gives their numbers. */
  function add(records) {
    return inOne(["waiting"], "readwrite", (store, give) => {
      const numbers = [];
      give(numbers);
      records.forEach((record, place) => {
        const known = store("waiting").index("id").getKey(record.id);
        known.onsuccess = () => {
          if (known.result !== undefined) numbers[place] = known.result;
          else store("waiting").add(record).onsuccess = (event) => { numbers[place] = event.target.result; };
        };
      });
    });
  }

  /* Takes away what was answered; what was refused stays to be seen. On a full disk
   * that is in this page alone: what was answered must not wait any longer. */
  async function settle(answers) {
    const rows = answers.filter(({ answer }) => !answer.accepted).map(({ record, answer }) => {
      const { id, number, wish, code, title, made_at: madeAt } = record;
      return { ...answer, id, number, wish, code, title, madeAt };
    });
    const taken = (store) => answers.forEach(({ record }) => store("waiting").delete(record.number));
    try {
      await inOne(["waiting", "refused"], "readwrite", (store) => {
        taken(store);
        rows.forEach((row) => store("refused").put(row));
      });
    } catch {
      await inOne(["waiting"], "readwrite", taken);
      spare.push(...rows);
    }
  }

  function remove(records) {
    return inOne(["waiting"], "readwrite", (store) => {
      records.forEach(({ id }) => {
        const known = store("waiting").index("id").getKey(id);
        known.onsuccess = () => { if (known.result !== undefined) store("waiting").delete(known.result); };
      });
    });
  }

  /* The oldest presses of one station, in their order. */
  async function batch(most) {
    const rows = await read("waiting", "getAll", null, most);
    const other = rows.findIndex((row) => row.url !== rows[0].url);
    return other < 0 ? rows : rows.slice(0, other);
  }

  /* How many wait, and since when the first of them. */
  function waiting() {
    return inOne(["waiting"], "readonly", (store, give) => {
      const told = { count: 0, since: null };
      store("waiting").count().onsuccess = (event) => {
        told.count = event.target.result;
        give(told);
      };
      store("waiting").openCursor().onsuccess = (event) => {
        const first = event.target.result;
        if (first) told.since = Date.parse(first.value.made_at);
      };
    });
  }

  /* Presses whose offset was not known yet get the one that is known now. */
  function giveOffset(offset) {
    return inOne(["waiting"], "readwrite", (store) => {
      store("waiting").openCursor().onsuccess = (event) => {
        const at = event.target.result;
        if (!at) return;
        if (at.value.offset_ms === null) at.update({ ...at.value, offset_ms: offset });
        at.continue();
      };
    });
  }

  /* One sender at a time, over all pages and the worker of this tablet. */
  function lease(owner, ms) {
    return inOne(["notes"], "readwrite", (store, give) => {
      store("notes").get("lease").onsuccess = (event) => {
        const held = event.target.result;
        const left = held ? held.until - Date.now() : 0;
        // A clock that was set back must not lock everybody out for days.
        if (held && held.owner !== owner && left > 0 && left <= ms) return give(false);
        store("notes").put({ name: "lease", owner, until: Date.now() + ms });
        return give(true);
      };
    });
  }

  function release(owner) {
    return inOne(["notes"], "readwrite", (store) => {
      store("notes").get("lease").onsuccess = (event) => {
        if (event.target.result && event.target.result.owner === owner) store("notes").delete("lease");
      };
    });
  }

  function note(name, value) {
    return inOne(["notes"], "readwrite", (store) => { store("notes").put({ name, value }); });
  }

  async function noted(name) {
    const found = await read("notes", "get", name);
    return found ? found.value : null;
  }

  function keepDue(due) {
    return inOne(["due"], "readwrite", (store) => { store("due").put(due); });
  }

  async function refused() {
    return [...(await read("refused", "getAll")), ...spare];
  }

  function forget(id) {
    const at = spare.findIndex((row) => row.id === id);
    if (at >= 0) spare.splice(at, 1);
    return inOne(["refused"], "readwrite", (store) => { store("refused").delete(id); });
  }

  self.shopStore = {
    add, settle, remove, batch, waiting, giveOffset, lease, release, note, noted, keepDue, refused, forget,
    all: () => read("waiting", "getAll"),
    due: (url) => read("due", "get", url),
  };
})();
