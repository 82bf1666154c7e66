/* A list of parts that go in or come out together, while there is no network.
 *
 * self.shopSeveral: begin(asked) makes a list of what an address names; put(due, list,
 * code) puts one on it and says what to answer; draw(due, list) gives its scene.
 * A list is {name, wish, load, codes, ask}; confirmed, each of its parts is a press of
 * its own (press.js), all under the id of the one load.
 */
(() => {
  "use strict";

  const MOST = 120;
  const parts = self.shopParts;
  const cards = self.shopCards;
  const { say, copy, put: fill, slot } = cards;

  function begin({ wish, load, codes = [] }) {
    return { name: "several", wish, load: load || self.shopPress.fresh(), codes: [...new Set(codes)].slice(0, MOST), ask: "" };
  }

  function asked(given) {
    const codes = (given.get("parts") || "").split(",").filter((code) => code && code !== given.get("off"));
    return begin({ wish: given.get("wish"), load: given.get("load"), codes });
  }

  function judged(due, list) {
    const now = self.shopClock.now();
    const rows = list.codes.map((code) => parts.along(due, list.wish, code, now));
    return { going: rows.filter(({ stop }) => !stop), apart: rows.filter(({ stop }) => stop) };
  }

  function put(due, list, code) {
    const now = self.shopClock.now();
    const one = parts.along(due, list.wish, code, now);
    if (list.codes.includes(one.code)) {
      list.ask = one.code;
      return cards.answer("look", say("onList"), say("onListAsk", { serial: one.part ? one.part.serial : cards.code(one.code) }));
    }
    if (list.codes.length >= MOST) return cards.answer("refused", say("again"), say("listFull", { n: MOST }));
    list.codes.push(one.code);
    if (one.stop) return cards.answer("refused", say("stays"), why(one));
    const listed = say("listed", { n: judged(due, list).going.length });
    return one.step ? cards.answer("accepted", listed, listed) : cards.answer("look", listed, say("notKnown"));
  }

  function why({ step, stop }) {
    return say(`why-${stop.why}`, { operation: step.title, at: stop.at ? cards.moment(stop.at) : "", what: (stop.what || []).join(", ") });
  }

  function off(room, one) {
    const link = slot(room, "off");
    link.dataset.awayOff = one.code;
    link.setAttribute("aria-label", say("takeOff", { serial: one.part ? one.part.serial : cards.code(one.code) }));
  }

  function named(room, { code, part }) {
    fill(room, { serial: part ? part.serial : cards.code(code), branch: part ? part.branchWord : "" });
  }

  function goingRow(due, wish, one) {
    const made = copy("going");
    named(made, one);
    off(made, one);
    cards.mark(made, one.step ? cards.look(one.part, one.step) : "WAITING");
    if (!one.step) {
      fill(made, { what: say("notKnown") });
      return made;
    }
    const { dwell } = due.lines[one.step.line];
    const until = wish === "LOAD" && dwell ? say("row-still", { at: cards.moment(self.shopClock.now() + dwell * 1000) }) : "";
    fill(made, { what: `${one.step.title} · ${one.part.model}, ${one.part.finish}`, when: until });
    return made;
  }

  function apartRow(one) {
    const made = copy("staying");
    named(made, one);
    off(made, one);
    fill(made, { why: why(one), remedy: say(`do-${one.stop.why}`) });
    const opens = ["checks", "out"].includes(one.stop.why);
    cards.show(made, "open", opens);
    if (opens) slot(made, "open").dataset.awayCode = one.code;
    return made;
  }

  function offeredRow(one) {
    const made = copy("offered");
    named(made, one);
    fill(made, { title: one.step.title });
    cards.mark(made, cards.look(one.part, one.step));
    made.querySelector("a").dataset.awayPut = one.code;
    return made;
  }

  function form(room, list, going) {
    const made = slot(room, "confirm");
    const { wish, load, codes } = list;
    cards.fields(made, { wish, load, parts: codes.join(",") });
    made.append(...going.map(({ code, step }) => {
      const value = `${code} ${step ? step.id : 0} ${self.shopPress.fresh()}`;
      return Object.assign(document.createElement("input"), { type: "hidden", name: "go", value });
    }));
    const button = made.querySelector("button");
    button.textContent = going.length ? say(`several-${wish.toLowerCase()}`, { n: going.length }) : say(`verb-${wish.toLowerCase()}`);
    button.disabled = !going.length;
    button.dataset.shopCommand = list.ask ? wish : `${wish} YES OK NEXT`;
  }

  function draw(due, list) {
    const room = copy("several");
    const { going, apart } = judged(due, list);
    const loading = list.wish === "LOAD";
    fill(room, { head: say(loading ? "goIn" : "comeOut", { n: going.length }), "apart-head": say("cannot", { n: apart.length }) });
    slot(room, "ask").hidden = !list.ask;
    if (list.ask) slot(room, "ask-off").dataset.awayOff = list.ask;
    cards.show(room, "apart", apart.length > 0);
    if (apart.length) slot(room, "apart-rows").append(...apart.map(apartRow));
    slot(room, "going").append(...[...going].reverse().map((one) => goingRow(due, list.wish, one)));
    cards.show(room, "none", !list.codes.length);
    if (!list.codes.length) fill(room, { none: say(loading ? "scanIn" : "scanOut") });
    form(room, list, going);
    const { places, free } = due.station;
    const after = free + (loading ? -going.length : going.length);
    cards.show(room, "places", places !== undefined);
    fill(room, { places: say(after < 0 ? "placesShort" : "places", { free: Math.max(0, free), places, after, n: -after }) });
    const offered = parts.alongWith(due, list.wish, list.codes, self.shopClock.now());
    cards.show(room, "offered-head", offered.length > 0);
    fill(room, { "offered-head": say(loading ? "mayGoIn" : "mayComeOut") });
    slot(room, "offered").append(...offered.map(offeredRow));
    return room;
  }

  self.shopSeveral = { begin, asked, put, draw };
})();
