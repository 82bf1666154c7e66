/* What a station's page does while there is no network.
 *
 * self.shopAway: enter() draws by itself what the server drew before, out of what is
 * kept (cards.js); scans, presses and taps are answered here until leave(). Every
 * press goes through outbox.js, which keeps it before anything is shown of it.
 */
(() => {
  "use strict";

  const parts = self.shopParts;
  const cards = self.shopCards;
  const several = self.shopSeveral;
  const undo = self.shopUndo;
  const NUMBER = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/;
  const EMPTY = { parts: [], lines: {}, checks: {}, signs: {}, pictures: {}, gauges: [], batches: [], chosen: {}, kinds: {}, undo: 0, station: { attended: true, free: 0 } };
  let on = false;
  let due = EMPTY;
  let unsaved = false;
  let view = { name: "list" };
  // The list of parts that was begun here and not confirmed.
  let begun = null;

  async function load() {
    if (unsaved) return;
    await undo.load();
    const noted = await self.shopStore.noted("list").catch(() => null);
    begun = noted && noted.url === self.shopOutbox.root.dataset.due && noted.person === person() ? noted.list : begun;
    try {
      due = (await self.shopStore.due(self.shopOutbox.root.dataset.due)) || EMPTY;
    } catch {
      due = EMPTY;
    }
  }

  function person() {
    return document.body.dataset.shopPerson || "";
  }

  /* Remembers the list for who looks at a part meanwhile, or opens the page again. */
  function remember(list) {
    begun = list && list.codes.length ? list : null;
    self.shopStore.note("list", { url: self.shopOutbox.root.dataset.due, person: person(), list: begun }).catch(() => {});
  }

  /* Keeps what is due; where the disk is full this page at least knows it. */
  async function take(told) {
    due = told;
    if (due === EMPTY) return;
    try {
      await self.shopStore.keepDue(due);
      unsaved = false;
    } catch (fault) {
      unsaved = true;
      throw fault;
    }
  }

  function keep() {
    take(due).catch(() => {});
  }

  /* Presses that the server took: what is kept moves with them. */
  async function taken(records) {
    if (!records.length) return;
    await load();
    if (records.map(moved).some(Boolean)) keep();
  }

  /* Moves a part by a press, or lays it back; null where it is not known here. */
  function moved(record) {
    if (record.wish === "UNDO") {
      const past = undo.taken(record.data.event);
      return past && parts.restore(due, past.before);
    }
    const { part } = parts.holding(due, record.step);
    const before = part && structuredClone(part);
    undo.note(record, before, record.title || titled(record));
    return parts.advance(due, record, self.shopClock.now());
  }

  function titled(record) {
    const { part, step } = parts.holding(due, record.step);
    return part ? `${part.serial} · ${step.title}` : cards.code(record.code);
  }

  function scene() {
    const { part, step } = view;
    if (view.name === "card") return step ? cards.card(due, part, step) : cards.onward(part);
    if (view.name === "check") return cards.check(due, part, step, view);
    if (view.name === "defect") return cards.defect(due, part, step);
    if (view.name === "unknown") return cards.unknown(due, view.code, due.station.attended);
    if (view.name === "several") return several.draw(due, view);
    return cards.list(due);
  }

  /* What one touch takes back here: on a part's scene only what was done to that one. */
  function undoable() {
    const past = undo.last(due.undo);
    const own = past && view.part && past.before && past.before.serial === view.part.serial;
    return own || view.name === "list" ? past : null;
  }

  /* Puts a scene where the server's stood, with what is said to the last press. */
  function show(next, answer) {
    view = next;
    const made = scene();
    // It was scanned for what stands there now; later somebody may choose.
    view.scanned = false;
    const past = undoable();
    if (past) cards.undo(made, past);
    const goOn = cards.slot(made, "go-on");
    if (goOn && !begun) goOn.remove();
    if (answer) (cards.slot(made, "said") || made).prepend(answer);
    const old = document.getElementById("scene");
    if (old) old.replaceWith(made);
    else document.getElementById("main").replaceChildren(made);
    self.shopDraft.restore(made);
    made.querySelectorAll("form:has([data-shop-key]) [data-shop-keypad]").forEach((one) => { one.inputMode = "none"; });
    const field = made.querySelector("[autofocus]");
    if (field) field.focus({ preventScroll: true });
    if (answer) answer.dispatchEvent(new CustomEvent("shop:answered", { bubbles: true }));
    self.shopOutbox.shown();
  }

  function look(code, answer) {
    const part = parts.find(due, code);
    if (part) show({ name: "card", part, step: parts.current(part) }, answer);
    else show({ name: "unknown", code }, answer);
  }

  function checkOf(part, step, check, place) {
    const at = Number(place) || parts.far(due, step, check).next;
    return { name: "check", part, step, check: Number(check), place: at, gauge: view.gauge };
  }

  function toCheck(...named) {
    show(checkOf(...named));
  }

  /* Shows what an address of the station names. */
  function open(asked) {
    if (["LOAD", "TAKE_OUT"].includes(asked.get("wish"))) return openList(asked);
    const code = parts.codeIn(asked.get("code") || "");
    const named = ofStep(asked);
    // A scan says what stood on the screen, too.
    if (asked.get("scanned") && code) {
      view = named || { name: "list" };
      return scan(code);
    }
    if (named) return show(named);
    return code ? look(code) : show({ name: "list" });
  }

  /* The step that an address names, if it is that part's turn, and its check. */
  function ofStep(asked) {
    const known = parts.holding(due, Number(asked.get("step")));
    if (!known.part || known.step !== parts.current(known.part)) return null;
    const check = Number(asked.get("check"));
    const checks = known.step.checks.includes(check) && parts.canCheck(due, known.step);
    return checks ? checkOf(known.part, known.step, check, asked.get("place")) : { name: "card", ...known };
  }

  function openList(asked) {
    const known = begun && begun.load === asked.get("load") && !asked.has("off");
    const list = known ? several.begin(begun) : several.asked(asked);
    const code = parts.codeIn(asked.get("code") || "");
    if (code) return putOn(list, code);
    return showList(list);
  }

  function showList(list, answer) {
    remember(list);
    return show(list, answer);
  }

  function putOn(list, code) {
    list.ask = "";
    const answer = several.put(due, list, code);
    return showList(list, answer);
  }

  /* No answer came: go on alone, with the presses that were under way, if any. */
  async function enter({ records = [], asked = null, quiet = false } = {}) {
    const first = !on;
    on = true;
    await load();
    if (records.length) return pressed(records);
    if (asked) return open(asked);
    if (first && !quiet) return open(new URLSearchParams(location.search));
    return self.shopOutbox.shown();
  }

  async function leave() {
    const local = document.querySelector("#scene[data-away-scene]");
    if (local && self.shopOutbox.typing()) return;
    on = false;
    if (!local) return;
    const url = address();
    // The server remembers a list that is shown: who looks at a part comes back to it.
    if (begun && view.name !== "several") await self.shopSend.ask(listed(begun));
    remember(null);
    if (document.getElementById("scan-form")) self.htmx.ajax("GET", url, { target: "#scene", swap: "outerHTML" });
    else location.assign(url);
  }

  /* Where the server shows what is shown here. */
  function address() {
    const here = self.shopOutbox.root.dataset.here;
    if (view.name === "several") return listed(view);
    return view.part ? `${here}?${new URLSearchParams({ code: view.part.code })}` : here;
  }

  function listed({ wish, load, codes }) {
    return `${self.shopOutbox.root.dataset.here}several/?${new URLSearchParams({ wish, load, parts: codes.join(",") })}`;
  }

  /* What is shown after presses that are kept. */
  function pressed(records) {
    const [record] = records;
    const [part] = records.map(moved);
    keep();
    if (record.wish === "READ") self.shopDraft.forget(cards.draft({ step: record.step, ...record.data }));
    if (record.several) return confirmed(records);
    const text = record.wish === "UNDO" ? "keptBack" : record.step && !part ? "keptUnknown" : "keptText";
    const kept = cards.answer("accepted", cards.say(record.wish === "UNDO" ? "said-undo" : "kept"), cards.say(text));
    if (!part) return show({ name: "list" }, kept);
    const { step } = parts.holding(due, record.step);
    if (record.wish === "READ") return onFrom(part, step, record.data, kept);
    return show({ name: "card", part, step: parts.current(part) }, kept);
  }

  /* Those that went are off the list; what stays behind keeps its place on it. */
  function confirmed(records) {
    const { wish, load, parts: all } = records[0].several;
    const gone = new Set(records.map(({ code }) => code));
    const list = several.begin({ wish, load, codes: all.split(",").filter((code) => code && !gone.has(code)) });
    const text = cards.say("keptSeveral", { n: records.length });
    return showList(list, cards.answer("accepted", cards.say("kept"), text));
  }

  /* Inside goes on to the next place or check; outside stays and is shown. */
  function onFrom(part, step, data, kept) {
    const id = Number(data.check);
    const taken = step.readings[`${id}/${data.place}`];
    view.gauge = Number(data.gauge) || view.gauge;
    if (taken && !taken.inside) return show({ ...view, name: "check", part, step, check: id, place: Number(data.place) });
    const left = parts.openChecks(due, step);
    if (!left.length) return show({ name: "card", part, step }, kept);
    const next = left.includes(id) ? id : left[0];
    return show({ ...view, name: "check", part, step, check: next, place: parts.far(due, step, next).next });
  }

  /* Why a typed value is not taken yet; empty when it is. */
  function unclear(record) {
    const check = due.checks[record.data.check];
    if (!check) return "";
    const text = String(record.data.value || "").trim().replace("−", "-");
    if (check.gaugeKind && !record.data.gauge) return cards.say("gauge", { name: check.name });
    if (check.kind === "JUDGED") return "";
    if (!NUMBER.test(text)) return cards.say("number");
    const value = Number(text.replace(",", "."));
    if (check.kind === "COUNTED" && (value < 0 || !Number.isInteger(value))) return cards.say("whole");
    if (!parts.farOff(check, value)) return "";
    if (view.doubted === text) {
      record.data.confirm = text;
      return "";
    }
    view.doubted = text;
    return cards.say("farOff", { value: `${text} ${check.unit}`.trim() });
  }

  /* Asks again about a value, in the local scene, with what was typed in its field. */
  function ask(record, why) {
    const known = parts.holding(due, record.step);
    const doubted = view.doubted;
    if (!document.querySelector("#scene[data-away-scene] [data-away~=unclear]")) toCheck(known.part, known.step, record.data.check, record.data.place);
    view.doubted = doubted;
    const place = document.querySelector("#scene [data-away~=unclear]");
    const field = document.querySelector("#scene [data-shop-keypad]");
    if (field) field.value = record.data.value || "";
    place.hidden = false;
    place.querySelector("p").textContent = why;
    cards.slot(place, "doubt").hidden = !doubted || doubted !== String(record.data.value || "").trim().replace("−", "-");
    return false;
  }

  /* A press in the local scene, or in one that the server drew before. */
  async function press(records) {
    const [record] = records;
    if (record.wish === "READ") {
      const why = unclear(record);
      if (why) return ask(record, why);
    }
    if (record.wish === "UNDO" && undo.isPast(record.data.event, due.undo)) return tooLate();
    records.forEach((one) => { one.title = titled(one); });
    names(record);
    if (!(await self.shopOutbox.keep(records))) return false;
    pressed(records);
    return true;
  }

  /* A press that uses a batch says which was brought here without the server's knowing. */
  function names(record) {
    const { step } = parts.holding(due, record.step);
    const codes = step && ["START", "FINISH"].includes(record.wish) ? parts.brought(due, step) : "";
    if (codes) record.data.batches = codes;
  }

  /* Works with another batch from now on, as far as this tablet knows it. */
  function bring(code) {
    const batch = (due.batches || []).find((one) => one.code === code);
    if (!batch) return show(view, cards.answer("look", cards.say("look"), cards.say("batchUnknown")));
    if (batch.held) return show(view, cards.answer("refused", cards.say("again"), cards.say("batchHeld", { number: batch.number })));
    due.chosen = { ...due.chosen, [batch.material]: batch.code };
    due.brought = { ...due.brought, [batch.material]: batch.code };
    keep();
    const kind = batch.over ? "look" : "accepted";
    const text = cards.say(batch.over ? "batchOver" : "batchKept", { number: batch.number, name: batch.name });
    return show(view, cards.answer(kind, cards.say(batch.over ? "look" : "kept"), text));
  }

  async function buildIn(text) {
    const { part, step } = view;
    if (!parts.serialIn(text)) return show(view, cards.answer("refused", cards.say("again"), cards.say("noSerial")));
    const record = self.shopOutbox.record({ wish: "USE", code: part.code, step: step.id, data: { serial: text } });
    return press([record]);
  }

  /* Too long ago, or not the last press: then it is the lead's to take back. */
  function tooLate() {
    show(view, cards.answer("refused", cards.say("again"), cards.say("undoLate", { n: Math.round(due.undo / 60) })));
    return false;
  }

  async function scanned(text) {
    // The server's scene still stands there: its address says what it shows.
    if (!document.querySelector("#scene[data-away-scene]")) open(new URLSearchParams(location.search));
    const { part, step } = view;
    if (view.name === "card" && step && parts.takesSerials(due, part, step) && !parts.isOurs(text)) return buildIn(text);
    const code = parts.codeIn(text);
    if (!code) return show(view, cards.answer("refused", cards.say("again"), cards.say("misread")));
    return scan(code);
  }

  function scan(code) {
    const { part, step } = view;
    if (code.startsWith("B") && parts.isOurs(code)) return bring(code);
    if (code.startsWith("G") && view.name === "check") {
      const gauge = due.gauges.find((one) => one.tag === code);
      if (gauge) return show({ ...view, gauge: gauge.id, scanned: true });
    }
    if (code.startsWith("H")) return show(view, cards.answer("look", cards.say("look"), cards.say("leave")));
    if (/^[CD]/.test(code)) return show(view, cards.answer("refused", cards.say("again"), cards.say("cardNotNow")));
    if (view.name === "several") {
      if (code.startsWith("G")) return show(view, cards.answer("look", cards.say("look"), cards.say("noPart")));
      return putOn(view, code);
    }
    if (view.name === "card" && step && parts.joinsNow(due, part, step) && code !== part.code) return mate(code);
    const list = withBefore(code);
    if (list) return putOn(list, code);
    return look(code, found(parts.find(due, code)));
  }

  /* A scan that only looks is answered by what there is to do. */
  function found(part) {
    const step = part && parts.current(part);
    const word = step ? step.title : cards.say("look");
    return cards.answer(part ? "accepted" : "look", word, step ? word : cards.say("noNet"));
  }

  /* A second part in a row, at a room where both may go the same way, makes a list. */
  function withBefore(code) {
    if (due.station.attended || view.name !== "card" || !view.step) return null;
    const wish = parts.wishNext(due, view.step);
    const now = self.shopClock.now();
    const [one, other] = [view.part.code, code].map((each) => parts.along(due, wish, each, now));
    const free = ["LOAD", "TAKE_OUT"].includes(wish) && other.step && other.part !== one.part && !one.stop && !other.stop;
    return free ? several.begin({ wish, codes: [one.code] }) : null;
  }

  async function mate(code) {
    const { part, step } = view;
    if (!part.mates.some((one) => one.code === code)) {
      return show(view, cards.answer("refused", cards.say("again"), cards.say("notAMate")));
    }
    const record = self.shopOutbox.record({ wish: "MATE", code: part.code, step: step.id, data: { mate: code } });
    return press([record]);
  }

  /* A tap on something that this page can show by itself; says whether it was. */
  function tapped(link) {
    const { part, step } = view;
    const { awayCode, awayCheck, awayPlace, awayGo, awayList, awayPut, awayOff } = link.dataset;
    if (awayList) showList(awayList === "ON" ? begun : several.begin({ wish: awayList }));
    else if (awayPut) putOn(view, awayPut);
    else if (awayOff) showList({ ...view, ask: "", codes: view.codes.filter((one) => one !== awayOff) });
    else if (awayGo === "clear") showList({ ...view, ask: "", codes: [] });
    else if (awayGo === "stay") show({ ...view, ask: "" });
    else if (awayCode) look(awayCode);
    else if (awayCheck && step) toCheck(part, step, awayCheck, awayPlace);
    else if (awayGo === "list") show({ name: "list" });
    else if (awayGo) show({ name: awayGo, part, step });
    else return false;
    return true;
  }

  function followed(link) {
    const url = new URL(link.href, location);
    const { here } = self.shopOutbox.root.dataset;
    if ([here, `${here}several/`].includes(url.pathname)) open(url.searchParams);
    else if (url.pathname === self.shopOutbox.root.dataset.report) {
      const known = parts.holding(due, Number(url.searchParams.get("step")));
      if (known.part) show({ name: "defect", ...known });
      else show(view, cards.answer("look", cards.say("look"), cards.say("keptUnknown")));
    } else return false;
    return true;
  }

  document.addEventListener("click", (event) => {
    if (!on || !(event.target instanceof Element)) return;
    const drawn = event.target.closest("#scene [data-away~=outline] svg");
    if (drawn) return touch(drawn, event);
    const link = event.target.closest("a[href]");
    if (!link || link.matches("[data-away-out]")) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (!tapped(link) && !followed(link)) self.shopOutbox.warn(cards.say("leave"));
    // A card may have pressed it: the next scan waits no longer.
    document.dispatchEvent(new CustomEvent("shop:answered"));
  }, true);

  /* The place of a defect, as shares of the outline's width and height. */
  function touch(drawn, event) {
    const { x, y, width, height } = drawn.viewBox.baseVal;
    // By the drawing's own scale: its element may be wider than what is drawn.
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawn.getScreenCTM().inverse());
    const share = (value, from, size) => Math.min(1, Math.max(0, (value - from) / size)).toFixed(3);
    const form = drawn.closest("form");
    form.elements.x.value = share(at.x, x, width);
    form.elements.y.value = share(at.y, y, height);
    drawn.querySelectorAll(".away-touch").forEach((one) => one.remove());
    const spot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    const set = (name, value) => spot.setAttribute(name, value);
    set("class", "away-touch");
    set("cx", x + form.elements.x.value * width);
    set("cy", y + form.elements.y.value * height);
    set("r", width / 40);
    drawn.append(spot);
  }

  self.shopAway = { is: () => on, enter, leave, press, scanned, take, taken, follow: followed };
})();
