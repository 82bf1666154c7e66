/* What may be done to a part, as far as a tablet alone can say, and what becomes of it.
 *
 * self.shopParts, pure: works on what due.json told (see cards.js) and knows no page.
 * It says no only where it is sure: a hold, a time that is not over or has run out,
 * a check or mate that is missing. All else the server judges later, at the moment
 * when it was done.
 */
(() => {
  "use strict";

  const SECOND = 1000;

  /* The eight characters of a tag, out of what a scanner types; null if there are none. */
  function codeIn(text) {
    const last = text.trim().split("/").pop().replaceAll("-", "").toUpperCase();
    return /^[0-9A-Z]{8}$/.test(last) ? last : null;
  }

  /* Is it a tag of the shop's own?  By its kind and its check character (ISO/IEC 7064,
   * MOD 37,36); a maker's serial number is none. */
  function isOurs(text) {
    const code = codeIn(text);
    if (!code || !/^[PWSKHGBQCD]/.test(code)) return false;
    const values = [...code].map((one) => parseInt(one, 36));
    const check = values.pop();
    const sum = values.reduce((held, value) => (((held + value) % 36 || 36) * 2) % 37, 36);
    return (sum + check) % 36 === 1;
  }

  /* A maker's serial number as the shop keeps it; null where it cannot be one. */
  function serialIn(text) {
    const serial = text.trim().replace(/[\s/\\]+/g, "-").toUpperCase();
    return /^[0-9A-Z._-]{3,24}$/.test(serial) && !isOurs(text) ? serial : null;
  }

  function current(part) {
    return part.steps.find((step) => step.state !== "DONE") || null;
  }

  /* The part of a tag; an instrument's own means what is at hand here. */
  function find(due, code) {
    const parts = due.parts || [];
    return parts.find((part) => part.code === code)
      || parts.find((part) => part.own === code && current(part))
      || parts.find((part) => part.mates.some((mate) => mate.code === code) && current(part) && current(part).state === "READY")
      || null;
  }

  function holding(due, stepId) {
    for (const part of due.parts || []) {
      const step = part.steps.find((one) => one.id === stepId);
      if (step) return { part, step };
    }
    return { part: null, step: null };
  }

  function wishNext(due, step) {
    if (step.state === "DWELLING") return "TAKE_OUT";
    if (step.state === "RUNNING") return "FINISH";
    return due.lines[step.line].kind === "HOLD" ? "LOAD" : "START";
  }

  function canCheck(due, step) {
    return step.state === "RUNNING" || (step.state === "DWELLING" && due.lines[step.line].kind === "HOLD");
  }

  /* How far a check is: done, outside, and the next place to read. */
  function far(due, step, checkId) {
    const { places } = due.checks[checkId];
    const told = { done: 0, out: 0, places, next: 0 };
    let outside = 0;
    for (let place = 1; place <= places; place += 1) {
      const taken = step.readings[`${checkId}/${place}`];
      if (!taken) told.next = told.next || place;
      else {
        told.done += 1;
        if (!taken.inside) {
          told.out += 1;
          outside = outside || place;
        }
      }
    }
    told.next = told.next || outside || 1;
    return told;
  }

  function openChecks(due, step) {
    return step.checks.filter((id) => {
      const { done, places } = far(due, step, id);
      return done < places;
    });
  }

  function matesMissing(due, part, step) {
    if (due.lines[step.line].joins === "NOTHING" || step !== current(part)) return [];
    return part.mates.filter((mate) => !step.scanned.includes(mate.code));
  }

  function joinsNow(due, part, step) {
    return step.state === "RUNNING" && matesMissing(due, part, step).length > 0;
  }

  /* What a step uses: batches or serials.  What was told to an older page knows none. */
  function usesOf(due, step, what) {
    return due.lines[step.line][what] || [];
  }

  function serialsOf(step, need) {
    return (step.serials || {})[need.id] || [];
  }

  /* The first piece whose serial number is still to be scanned. */
  function openNeed(due, step) {
    return usesOf(due, step, "serials").find((need) => serialsOf(step, need).length < need.pieces) || null;
  }

  function takesSerials(due, part, step) {
    return step.state === "RUNNING" && !joinsNow(due, part, step) && openNeed(due, step) !== null;
  }

  /* The batch of a material that stands here, as far as is known. */
  function batchOf(due, material) {
    return (due.batches || []).find((one) => one.code === (due.chosen || {})[material]) || null;
  }

  /* What stands against the batches that a step would use. */
  function batchFault(due, step) {
    const needs = usesOf(due, step, "batches");
    const missing = needs.filter((need) => !(due.chosen || {})[need.material]);
    if (missing.length) return { why: "batch", gate: "floor.batch_missing", what: missing.map((need) => need.name) };
    const known = needs.map((need) => batchOf(due, need.material)).filter(Boolean);
    const held = known.filter((one) => one.held);
    if (held.length) return { why: "batchHeld", gate: "", what: held.map((one) => one.number) };
    const over = known.filter((one) => one.over);
    return over.length ? { why: "batchOver", gate: "floor.batch_expired", what: over.map((one) => one.number) } : null;
  }

  /* What was brought here without network and a step uses, for its press to say. */
  function brought(due, step) {
    const materials = usesOf(due, step, "batches").map((need) => String(need.material));
    return materials.filter((one) => (due.brought || {})[one]).map((one) => due.brought[one]).join(",");
  }

  function after(moment, seconds) {
    return seconds === null || !moment ? null : Date.parse(moment) + seconds * SECOND;
  }

  function opening(line, step, now) {
    const first = step.repeat === 1;
    const soon = first ? null : after(step.readyAt, line.rest);
    const late = after(step.readyAt, first ? line.gap : line.longest);
    if (soon !== null && now < soon) return { why: "soon", gate: "floor.too_soon", at: soon };
    if (late !== null && now > late) return { why: "late", gate: "floor.too_long_since", at: late };
    return null;
  }

  function closing(due, part, step, wish, now) {
    const until = step.until ? Date.parse(step.until) : null;
    if (wish === "TAKE_OUT" && until !== null && now < until) return { why: "still", gate: "floor.still_dwelling", at: until };
    if (wish === "TAKE_OUT" && due.lines[step.line].kind !== "HOLD") return null;
    const mates = matesMissing(due, part, step);
    if (mates.length) return { why: "mates", gate: "", what: mates.map((mate) => mate.words) };
    if (wish === "FINISH") {
      const fault = batchFault(due, step);
      if (fault && !step.passes.includes(fault.gate)) return fault;
      const need = openNeed(due, step);
      if (need) return { why: "serials", gate: "floor.serials_missing", what: [need.name] };
    }
    const missing = openChecks(due, step);
    if (missing.length) return { why: "checks", gate: "floor.check_missing", what: missing.map((id) => due.checks[id].name) };
    const out = step.checks.filter((id) => far(due, step, id).out);
    if (out.length) return { why: "out", gate: "floor.out_of_tolerance", what: out.map((id) => due.checks[id].name) };
    return null;
  }

  /* Why the next press is not to be made now; null where nothing is known against it. */
  function stopped(due, part, step, now) {
    if (part.held) return { why: "held", gate: "" };
    const wish = wishNext(due, step);
    const opens = wish === "START" || wish === "LOAD";
    const found = opens ? opening(due.lines[step.line], step, now) : closing(due, part, step, wish, now);
    if (found && !step.passes.includes(found.gate)) return found;
    const fault = wish === "START" ? batchFault(due, step) : null;
    return fault && !step.passes.includes(fault.gate) ? fault : null;
  }

  /* A value between the limits; without limits every value is. */
  function inside(check, value) {
    return !((check.lower !== null && value < check.lower) || (check.upper !== null && value > check.upper));
  }

  /* So far off that a slip of the hand is likelier than the reading. */
  function farOff(check, value) {
    const ends = [check.lower, check.upper].filter((end) => end !== null).map(Math.abs);
    if (!ends.length || ends.includes(0) || inside(check, value)) return false;
    const size = Math.abs(value);
    return size >= 3 * Math.max(...ends) || size <= Math.min(...ends) / 3;
  }

  function read(due, step, data) {
    const check = due.checks[data.check];
    if (!check) return;
    const text = String(data.instead || data.value).trim();
    const value = Number(text.replace(",", "."));
    const good = check.kind === "JUDGED" ? text === "1" : inside(check, value);
    step.readings[`${data.check}/${data.place}`] = { value: text, inside: good };
  }

  function build(due, step, data) {
    const need = openNeed(due, step);
    if (need) step.serials = { ...step.serials, [need.id]: [...serialsOf(step, need), serialIn(data.serial) || data.serial] };
  }

  function done(due, part, step, at) {
    if (step.state === "DWELLING") due.station.free += 1;
    step.state = "DONE";
    const next = current(part);
    if (next && next.state === "WAITING") {
      next.state = "READY";
      next.readyAt = new Date(at).toISOString();
    }
  }

  function lies(due, step, at) {
    due.station.free -= 1;
    step.state = "DWELLING";
    step.until = new Date(at + (due.lines[step.line].dwell || 0) * SECOND).toISOString();
  }

  /* Moves what is kept as the server will; nothing moves that is not known here. */
  function advance(due, record, at) {
    const { part, step } = holding(due, record.step);
    if (!step) return null;
    const { wish, data } = record;
    if (wish === "START") step.state = "RUNNING";
    else if (wish === "LOAD") lies(due, step, at);
    else if (wish === "FINISH" && due.lines[step.line].dwell) lies(due, step, at);
    else if (wish === "FINISH" || wish === "TAKE_OUT") done(due, part, step, at);
    else if (wish === "READ") read(due, step, data);
    else if (wish === "USE") build(due, step, data);
    else if (wish === "MATE") step.scanned.push(codeIn(data.mate) || data.mate);
    else if (wish === "ALLOW") step.passes.push(data.gate);
    else if (wish === "HOLD" || data.severity === "STOP") part.held = true;
    return part;
  }

  function lying(part) {
    return part.steps.filter((step) => step.state === "DWELLING").length;
  }

  /* Lays a part back as it was before a press; null where its steps are not known any
   * more. A hold that came since stays. */
  function restore(due, before) {
    if (!before || !before.steps.every((step) => due.lines[step.line] && step.checks.every((id) => due.checks[id]))) return null;
    let part = due.parts.find((one) => one.code === before.code);
    if (part) {
      due.station.free += lying(part) - lying(before);
      part.steps = before.steps;
    } else {
      part = before;
      due.parts.push(part);
    }
    return part;
  }

  /* May a part go in or come out with others?  What is not known here is judged later. */
  function along(due, wish, code, now) {
    const part = find(due, code);
    const step = part && current(part);
    if (!step) return { code, part: null, step: null, stop: null };
    const next = wishNext(due, step);
    const other = next === "LOAD" ? "notIn" : next === "TAKE_OUT" ? "liesAlready" : "notLaid";
    const stop = next === wish ? stopped(due, part, step, now) : { why: other, gate: "" };
    return { code: part.code, part, step, stop };
  }

  /* All that could come on such a list. */
  function alongWith(due, wish, codes, now) {
    return due.parts
      .filter((part) => current(part) && !codes.includes(part.code))
      .map((part) => along(due, wish, part.code, now))
      .filter(({ stop }) => !stop);
  }

  self.shopParts = {
    codeIn, current, find, holding, wishNext, canCheck, far, openChecks, matesMissing, joinsNow,
    isOurs, serialIn, usesOf, serialsOf, openNeed, takesSerials, batchOf, brought,
    stopped, inside, farOff, advance, restore, along, alongWith,
  };
})();
