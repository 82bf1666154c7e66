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
  const NUMBER = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/;
  const EMPTY = { parts: [], lines: {}, checks: {}, signs: {}, pictures: {}, gauges: [], kinds: {}, station: { attended: true } };
  let on = false;
  let due = EMPTY;
  let unsaved = false;
  let view = { name: "list" };

  async function load() {
    if (unsaved) return;
    try {
      due = (await self.shopStore.due(self.shopOutbox.root.dataset.due)) || EMPTY;
    } catch {
      due = EMPTY;
    }
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

  /* A press that the server took: what is kept moves with it. */
  async function taken(record) {
    await load();
    if (parts.advance(due, record, self.shopClock.now())) keep();
  }

  function scene() {
    const { part, step } = view;
    if (view.name === "card") return step ? cards.card(due, part, step) : cards.onward(part);
    if (view.name === "check") return cards.check(due, part, step, view.check, view.place, view.gauge);
    if (view.name === "defect") return cards.defect(due, part, step);
    if (view.name === "unknown") return cards.unknown(due, view.code, due.station.attended);
    return cards.list(due);
  }

  /* Puts a scene where the server's stood, with what is said to the last press. */
  function show(next, answer) {
    view = next;
    const made = scene();
    if (answer) (cards.slot(made, "said") || made).prepend(answer);
    const old = document.getElementById("scene");
    if (old) old.replaceWith(made);
    else document.getElementById("main").replaceChildren(made);
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

  function toCheck(part, step, check, place) {
    const at = Number(place) || parts.far(due, step, check).next;
    show({ name: "check", part, step, check: Number(check), place: at, gauge: view.gauge });
  }

  /* Shows what an address of the station names. */
  function open(asked) {
    const step = Number(asked.get("step"));
    const known = step ? parts.holding(due, step) : {};
    const check = asked.get("check");
    if (known.part && known.step === parts.current(known.part)) {
      if (check && known.step.checks.includes(Number(check)) && parts.canCheck(due, known.step)) {
        return toCheck(known.part, known.step, check, asked.get("place"));
      }
      return show({ name: "card", ...known });
    }
    const code = parts.codeIn(asked.get("code") || "");
    return code ? look(code) : show({ name: "list" });
  }

  /* No answer came: go on alone, with the press that was under way, if there was one. */
  async function enter({ record = null, asked = null, quiet = false } = {}) {
    const first = !on;
    on = true;
    await load();
    if (record) return pressed(record);
    if (asked) return open(asked);
    if (first && !quiet) return open(new URLSearchParams(location.search));
    return self.shopOutbox.shown();
  }

  async function leave() {
    const local = document.querySelector("#scene[data-away-scene]");
    if (local && self.shopOutbox.typing()) return;
    on = false;
    if (!local) return;
    const asked = new URLSearchParams();
    if (view.part && view.name !== "list") asked.set("code", view.part.code);
    const here = self.shopOutbox.root.dataset.here;
    const url = asked.size ? `${here}?${asked}` : here;
    if (document.getElementById("scan-form")) self.htmx.ajax("GET", url, { target: "#scene", swap: "outerHTML" });
    else location.assign(url);
  }

  /* What is shown after a press that is kept. */
  function pressed(record) {
    const part = parts.advance(due, record, self.shopClock.now());
    keep();
    const kept = cards.answer("accepted", cards.say("kept"), cards.say(record.step && !part ? "keptUnknown" : "keptText"));
    if (!part) return show({ name: "list" }, kept);
    const { step } = parts.holding(due, record.step);
    if (record.wish === "READ") return onFrom(part, step, record.data, kept);
    return show({ name: "card", part, step: parts.current(part) }, kept);
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
    return false;
  }

  /* A press in the local scene, or in one that the server drew before. */
  async function press(record) {
    if (record.wish === "READ") {
      const why = unclear(record);
      if (why) return ask(record, why);
    }
    const known = parts.holding(due, record.step);
    record.title = known.part ? `${known.part.serial} · ${known.step.title}` : record.code;
    if (!(await self.shopOutbox.keep(record))) return false;
    pressed(record);
    return true;
  }

  async function scanned(text) {
    const code = parts.codeIn(text);
    if (!code) return show(view, cards.answer("refused", cards.say("again"), cards.say("misread")));
    const { part, step } = view;
    if (code.startsWith("G") && view.name === "check") {
      const gauge = due.gauges.find((one) => one.tag === code);
      if (gauge) return show({ ...view, gauge: gauge.id });
    }
    if (code.startsWith("H")) return show(view, cards.answer("look", cards.say("look"), cards.say("leave")));
    if (view.name === "card" && step && parts.joinsNow(due, part, step) && code !== part.code) return mate(code);
    return look(code, cards.answer(parts.find(due, code) ? "accepted" : "look", cards.say("look"), cards.say("noNet")));
  }

  async function mate(code) {
    const { part, step } = view;
    if (!part.mates.some((one) => one.code === code)) {
      return show(view, cards.answer("refused", cards.say("again"), cards.say("notAMate")));
    }
    const record = self.shopOutbox.record({ wish: "MATE", code: part.code, step: step.id, data: { mate: code } });
    return press(record);
  }

  /* A tap on something that this page can show by itself; says whether it was. */
  function tapped(link) {
    const { part, step } = view;
    const { awayCode, awayCheck, awayPlace, awayGo } = link.dataset;
    if (awayCode) look(awayCode);
    else if (awayCheck && step) toCheck(part, step, awayCheck, awayPlace);
    else if (awayGo === "list") show({ name: "list" });
    else if (awayGo) show({ name: awayGo, part, step });
    else return false;
    return true;
  }

  function followed(link) {
    const url = new URL(link.href, location);
    if (url.pathname === self.shopOutbox.root.dataset.here) open(url.searchParams);
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
    if (tapped(link) || followed(link)) return;
    self.shopOutbox.warn(cards.say("leave"));
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
