/* Draws what a station shows while there is no network, out of the page's templates.
 *
 * self.shopCards gives elements with the id "scene". The server wrote the templates
 * (#away-…) into the page and drew signs, bars and outlines into due.json; here
 * they are only put together. A slot is named by data-away.
 */
(() => {
  "use strict";

  const parts = () => self.shopParts;
  const LOOKS = { READY: "WAITING", WAITING: "WAITING", RUNNING: "IN_WORK", DWELLING: "DWELLING" };

  // Which command cards press the wide button.
  const CARDS = { START: "START", FINISH: "DONE", LOAD: "LOAD", TAKE_OUT: "TAKE_OUT" };

  function copy(name) {
    return document.getElementById(`away-${name}`).content.firstElementChild.cloneNode(true);
  }

  function slot(room, name) {
    return room.matches(`[data-away~="${name}"]`) ? room : room.querySelector(`[data-away~="${name}"]`);
  }

  function put(room, texts) {
    Object.entries(texts).forEach(([name, text]) => {
      room.querySelectorAll(`[data-away~="${name}"]`).forEach((one) => { one.textContent = text; });
    });
  }

  function show(room, name, on) {
    const one = slot(room, name);
    if (on) one.hidden = false;
    else one.remove();
  }

  /* Markup of our own server's drawing, as it stands in its pages too. */
  function draw(place, svg) {
    place.innerHTML = svg || "";
    if (!svg) place.remove();
  }

  function say(name, given = {}) {
    const hook = `data-${name.replace(/[A-Z]/g, (capital) => `-${capital.toLowerCase()}`)}`;
    const text = document.getElementById("away-words").getAttribute(hook) || "";
    return Object.entries(given).reduce((said, [key, value]) => said.replaceAll(`{${key}}`, value), text);
  }

  function moment(at) {
    const day = new Date(at);
    const today = new Date(self.shopClock.now()).toDateString() === day.toDateString();
    const how = { hour: "2-digit", minute: "2-digit", hour12: false };
    if (!today) Object.assign(how, { day: "numeric", month: "short" });
    // The day before the month, as the server says it.
    const { lang } = document.documentElement;
    return new Intl.DateTimeFormat(lang === "en" ? "en-GB" : lang, how).format(day);
  }

  function look(part, step) {
    return part.held ? "HELD" : LOOKS[step.state];
  }

  function state(room, name) {
    const place = slot(room, "state");
    const kept = document.getElementById("away-states").content.querySelector(`[data-look=${name}]`);
    place.replaceChildren(...kept.cloneNode(true).childNodes);
  }

  function mark(room, name) {
    const kept = document.getElementById("away-marks").content.querySelector(`[data-look=${name}]`);
    slot(room, "mark").replaceWith(...kept.cloneNode(true).childNodes);
  }

  function code(text) {
    return `${text.slice(0, 4)}-${text.slice(4)}`;
  }

  function what(room, part, step) {
    put(room, { serial: part.serial, model: `${part.model}, ${part.finish}`, branch: part.branchWord, code: code(part.code) });
    state(room, look(part, step));
  }

  /* Fills the hidden fields that a press is made of. */
  function fields(form, given) {
    Object.entries(given).forEach(([name, value]) => {
      const field = form.elements.namedItem(name);
      if (field) field.value = value;
    });
  }

  function row(due, part, step) {
    const made = copy("row");
    const stop = parts().stopped(due, part, step, self.shopClock.now());
    // What was told of its place is of the step that it was told with.
    const first = step.state === "READY" && step.id === part.steps[0].id;
    const why = stop ? say(`row-${stop.why}`, { at: stop.at ? moment(stop.at) : "" }) : "";
    put(made, {
      serial: part.serial, branch: part.branchWord, title: step.title,
      model: `${part.model}, ${part.finish}`,
      why: why || (step.state === "READY" ? first && part.why : say(step.state === "RUNNING" ? "running" : "out")),
      wanted: !why && first ? part.wanted : "",
    });
    mark(made, look(part, step));
    made.querySelector("a").dataset.awayCode = part.code;
    return made;
  }

  function list(due) {
    const room = copy("list");
    const here = (due.parts || []).map((part) => [part, parts().current(part)]).filter(([, step]) => step);
    for (const [name, wanted] of [["ready", "READY"], ["running", "RUNNING"], ["lying", "DWELLING"]]) {
      const rows = here.filter(([, step]) => step.state === wanted).map(([part, step]) => row(due, part, step));
      slot(room, name).append(...rows);
      show(room, `${name}-none`, !rows.length);
    }
    ways(room, due, here);
    return room;
  }

  /* The ways to a list of many parts, and the first part for whoever scans only cards. */
  function ways(room, due, here) {
    const laid = here.some(([, step]) => step.state === "READY" && due.lines[step.line].kind === "HOLD");
    const lying = here.some(([, step]) => step.state === "DWELLING");
    const holds = !due.station.attended;
    show(room, "load-several", holds || laid);
    show(room, "take-several", holds || lying);
    slot(room, "ready").querySelector("a")?.setAttribute("data-shop-command", "NEXT");
  }

  function checkLine(due, step, id) {
    const made = copy("check-line");
    const { done, out, places } = parts().far(due, step, id);
    const link = made.querySelector("a");
    link.textContent = due.checks[id].name;
    link.dataset.awayCheck = id;
    const found = out ? "SCRAPPED" : done < places ? "WAITING" : "DONE";
    mark(made, found);
    put(made, { far: out ? say("outside", { n: out }) : done < places ? `${done}/${places}` : say("inside") });
    return made;
  }

  function mateLine(mate, scanned) {
    const made = copy("mate");
    put(made, { words: mate.words });
    show(made, "yes", scanned);
    show(made, "no", !scanned);
    if (scanned) made.classList.add("mate-in");
    return made;
  }

  function useLine(name, told, good) {
    const made = copy("mate");
    put(made, { words: [name, ...told].join(" ") });
    show(made, "yes", good);
    show(made, "no", !good);
    if (good) made.classList.add("mate-in");
    return made;
  }

  /* What the step uses: of which batch, and the pieces with their serial numbers. */
  function usesOf(room, due, step) {
    const open = step.state === "READY" || step.state === "RUNNING";
    const batches = (open ? parts().usesOf(due, step, "batches") : []).map((need) => {
      const batch = parts().batchOf(due, need.material);
      return useLine(need.name, batch ? [batch.number] : [], Boolean(batch) && !batch.held && !batch.over);
    });
    const serials = parts().usesOf(due, step, "serials").map((need) => {
      const taken = parts().serialsOf(step, need);
      const far = need.pieces > 1 ? [`${taken.length}/${need.pieces}`] : [];
      return useLine(need.name, [...far, ...taken], taken.length >= need.pieces);
    });
    show(room, "uses-room", batches.length + serials.length > 0);
    const lines = slot(room, "uses");
    if (lines) lines.append(...batches, ...serials);
  }

  /* One part at this station: what it is on the left, what to do on the right. */
  function card(due, part, step) {
    const room = copy("card");
    const line = due.lines[step.line];
    const wish = parts().wishNext(due, step);
    const stop = parts().stopped(due, part, step, self.shopClock.now());
    what(room, part, step);
    put(room, { title: step.title, instruction: line.instruction, verb: say(`verb-${wish.toLowerCase()}`) });
    const signs = line.hazards.map((hazard) => {
      const made = copy("caution");
      draw(slot(made, "sign"), due.signs[hazard.sign]);
      put(made, { words: hazard.words });
      return made;
    });
    slot(room, "cautions").append(...signs);
    draw(slot(room, "picture"), due.pictures[step.picture]);
    const lying = step.state === "DWELLING" && step.until;
    show(room, "lies", Boolean(lying));
    if (lying) put(room, { lies: say("lies", { at: moment(Date.parse(step.until)) }) });
    checksOf(room, due, part, step);
    pressOf(room, due, part, step, wish, stop);
    slot(room, "command")?.setAttribute("data-shop-command", `${CARDS[wish]}${slot(room, "next-check") ? "" : " NEXT"}`);
    room.querySelectorAll("form").forEach((form) => fields(form, { wish: form.elements.wish.value || wish, code: part.code, step: step.id }));
    return room;
  }

  function checksOf(room, due, part, step) {
    const joining = due.lines[step.line].joins !== "NOTHING" && step.state === "RUNNING";
    show(room, "mates-room", joining && part.mates.length > 0);
    const mates = slot(room, "mates");
    if (mates) mates.append(...part.mates.map((mate) => mateLine(mate, step.scanned.includes(mate.code))));
    usesOf(room, due, step);
    const able = parts().canCheck(due, step) && !parts().joinsNow(due, part, step) && !parts().takesSerials(due, part, step);
    const [first] = able ? parts().openChecks(due, step) : [];
    show(room, "next-check", first !== undefined);
    if (first !== undefined) {
      const link = slot(room, "next-check");
      link.textContent = say("check", { name: due.checks[first].name });
      link.dataset.awayCheck = first;
    }
    show(room, "checks", able && step.checks.length > 0);
    const lines = slot(room, "checks");
    if (lines) lines.append(...step.checks.map((id) => checkLine(due, step, id)));
  }

  function pressOf(room, due, part, step, wish, stop) {
    show(room, "press", !stop);
    show(room, "stopped", Boolean(stop));
    if (!stop) return;
    const checking = Boolean(slot(room, "next-check"));
    if (checking) slot(room, "stopped").querySelector("button").classList.remove("press-next");
    put(room, {
      verb: say(`verb-${wish.toLowerCase()}`),
      why: say(`why-${stop.why}`, { operation: step.title, at: stop.at ? moment(stop.at) : "", what: (stop.what || []).join(", ") }),
      remedy: say(`do-${stop.why}`),
    });
  }

  function places(due, step, id, here) {
    const check = due.checks[id];
    return Array.from({ length: check.places }, (_, place) => {
      const made = copy("place");
      const taken = step.readings[`${id}/${place + 1}`];
      const link = made.querySelector("a");
      link.textContent = place + 1;
      Object.assign(link.dataset, { awayCheck: id, awayPlace: place + 1 });
      if (taken) made.classList.add(taken.inside ? "place-in" : "place-out");
      if (place + 1 === here) {
        made.classList.add("place-here");
        made.setAttribute("aria-current", "step");
      }
      return made;
    });
  }

  /* What is typed for a check is kept under one name here and on the server's page. */
  function draft({ step, check, place }) {
    return `check-${step}-${check}-${place}`;
  }

  /* One check at one place, with the keys, the bar of its limits and its gauges. */
  function check(due, part, step, { check: id, place, gauge, scanned }) {
    const made = due.checks[id];
    const judged = made.kind === "JUDGED";
    const room = copy("check");
    what(room, part, step);
    const named = made.places > 1 ? `${made.name}, ${made.placeName || say("place")} ${place}` : made.name;
    put(room, { of: step.title, name: named, unit: made.unit, instruction: due.lines[step.line].instruction });
    show(room, "places", made.places > 1);
    if (made.places > 1) slot(room, "places").append(...places(due, step, id, place));
    draw(slot(room, "bar"), made.bar);
    show(room, "instruction", judged);
    const taken = step.readings[`${id}/${place}`];
    show(room, "outside", Boolean(taken && !taken.inside));
    show(room, "judge", judged);
    show(room, "keys", !judged);
    if (!judged && !made.minus) room.querySelector(".key-minus").remove();
    const gauges = due.gauges.filter((one) => one.kind === made.gaugeKind);
    show(room, "gauges", gauges.length > 0);
    const choice = room.querySelector("select");
    if (choice) {
      choice.append(...gauges.map((one) => new Option(one.overdue ? say("overdue", { name: one.name }) : one.name, one.id)));
      const good = gauges.filter((one) => !one.overdue);
      choice.value = gauges.some((one) => one.id === gauge) ? gauge : good.length === 1 ? good[0].id : "";
      choice.toggleAttribute("data-shop-given", Boolean(scanned));
    }
    const form = room.querySelector("form");
    form.dataset.shopDraft = draft({ step: step.id, check: id, place });
    fields(form, { step: step.id, check: id, place });
    return room;
  }

  function defect(due, part, step) {
    const room = copy("defect");
    what(room, part, step);
    draw(slot(room, "outline"), due.pictures[part.outline]);
    const kinds = (due.kinds[part.branch] || []).map(([value, name, card]) => {
      const made = copy("kind");
      Object.assign(made.querySelector("input"), { value }).dataset.shopCard = card;
      put(made, { name });
      return made;
    });
    slot(room, "kinds").append(...kinds);
    fields(room.querySelector("form"), { step: step.id });
    return room;
  }

  /* A part that is not known here, or a step after which nothing is known. */
  function unknown(due, text, attended) {
    const room = copy("unknown");
    put(room, { code: code(text) });
    room.querySelectorAll("form").forEach((form) => {
      form.elements.code.value = text;
      if (form.dataset.awayAttended !== String(attended)) form.remove();
    });
    return room;
  }

  function onward(part) {
    const room = copy("onward");
    put(room, { serial: part ? part.serial : "", branch: part ? part.branchWord : "" });
    return room;
  }

  /* The last press, to be taken back with one touch; its form stands at the end of the
   * scene, since a form cannot stand in another. */
  function undo(scene, past) {
    const said = slot(scene, "said");
    if (!said) return;
    const made = copy("undo");
    const form = copy("undo-form");
    put(made, { back: say("takesBack", { kind: say(`said-${past.wish.toLowerCase()}`).toLocaleLowerCase(), what: past.title || code(past.code) }) });
    fields(form, { event: past.id, code: past.code, step: past.step || "" });
    said.after(made);
    scene.append(form);
  }

  /* What is said to the last press, above the scene; heard and seen as online. */
  function answer(kind, word, text) {
    const made = copy(`answer-${kind}`);
    made.dataset.shopWord = word;
    put(made, { text });
    return made;
  }

  self.shopCards = {
    list, card, check, draft, defect, unknown, onward, undo, answer,
    say, moment, copy, put, slot, show, fields, mark, look, code,
  };
})();
