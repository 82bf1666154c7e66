"""What does each wish need to be looked up before it is judged?"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.utils import timezone

from travelers.floor import queries
from travelers.floor.models import Event, Hold
from travelers.floor.rules import anew, reasons, swap
from travelers.floor.rules.bench import Bench, StepNow
from travelers.floor.rules.facts import Place, facts_of
from travelers.floor.rules.gauges import gauge_out
from travelers.floor.rules.machine import Wish, closed_gates, wish_next
from travelers.floor.rules.materials import open_need, read_serial, used_of
from travelers.floor.rules.undo import why_not
from travelers.formulas import limits
from travelers.kit.refusals import Refusal
from travelers.lumber.models import Piece
from travelers.orders import actions as orders
from travelers.orders.models import Part
from travelers.routes.rules import Check, CheckKind, Joins
from travelers.shop.models import Gauge, Person
from travelers.shop.queries import overdue_gauges
from travelers.shop.rules import OverdueGauges, is_out


@dataclass(frozen=True, slots=True)
class Asked:
    """A wish made complete: what its event will say, and facts or a refusal.

    ``corrects`` is the event that it takes back.
    """

    data: Mapping[str, Any]
    known: Mapping[str, Any] = field(default_factory=dict)
    refusal: Refusal | None = None
    corrects: Event | None = None


@dataclass(frozen=True, slots=True)
class Who:
    """Who wishes something, and where; ``past`` is set where it was some time ago."""

    person: Person
    station: Place | None
    past: datetime | None = None


def prepare(
    wish: Wish,
    data: Mapping[str, Any],
    bench: Bench,
    step: StepNow,
    at: datetime,
    who: Who,
) -> Asked:
    """Look up what a wish names: gauges, mates, holds, gates, past events."""
    look_up = LOOK_UPS.get(wish)
    return look_up(data, bench, step, at, who) if look_up else Asked(data)


def _reading(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    line = bench.route.by_id[step.operation_id]
    checks = {check.id: check for check in line.checks}
    named = {row["gauge"] for row in data["readings"] if row.get("gauge")}
    gauges = Gauge.objects.in_bulk(named) if named else {}
    rows, fault = [], None
    for row in data["readings"]:
        check = checks.get(row["check"])
        if check is None or not 1 <= row["place"] <= check.places:
            return Asked(data, refusal=reasons.NOT_A_CHECK.about(operation=line.name))
        gauge = gauges.get(row.get("gauge"))
        if check.gauge_kind and (gauge is None or gauge.kind != check.gauge_kind):
            return Asked(data, refusal=_no_gauge(check, gauge))
        in_time = _is_in_time(gauge, at) if gauge else None
        if gauge and not in_time and overdue_gauges() is OverdueGauges.REFUSE:
            fault = gauge_out(gauge.name, gauge.due_on, gauge.bad_since, at)
        # As the gauge said it, where its unit was converted.
        said = {"read": row["read"]} if row.get("read") else {}
        rows.append(
            {
                **said,
                "check": check.id,
                "code": check.code,
                "place": row["place"],
                "value": str(row["value"]),
                "unit": check.unit,
                "verdict": verdict(check, row["value"]),
                "gauge": gauge.pk if gauge else None,
                "in_calibration": in_time,
            }
        )
    return Asked({**data, "readings": rows}, {"gauge_fault": fault})


def _is_in_time(gauge: Gauge, at: datetime) -> bool:
    day = timezone.localdate(at)
    return not is_out(gauge.due_on, gauge.bad_since, day=day, at=at)


def verdict(check: Check, value: Any) -> str:
    """Judge a value by its limits; a judged check is 1 for good and 0 for not."""
    if check.kind is CheckKind.JUDGED:
        return "INSIDE" if int(value) == 1 else "LOW"
    return limits.judge(
        float(value),
        None if check.lower is None else float(check.lower),
        None if check.upper is None else float(check.upper),
    ).name


def _no_gauge(check: Check, gauge: Gauge | None) -> Refusal:
    wanted = kind_words(check.gauge_kind)
    if gauge is None:
        return reasons.GAUGE_MISSING.about(check=check.name, kind=wanted)
    return reasons.GAUGE_OTHER_KIND.about(
        gauge=gauge.name, kind=kind_words(gauge.kind), check=check.name, wanted=wanted
    )


def kind_words(kind: str) -> str:
    return kind.replace("_", " ")


def _mate(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    code = data["mate"]
    mates = queries.mates_of(bench=bench, step=step)
    if code in mates:
        return Asked(data)
    line = bench.route.by_id[step.operation_id]
    piece = (
        Piece.objects.filter(code=code).select_related("plank_set").first()
        if code.startswith("W")
        else None
    )
    if piece and line.joins is Joins.PIECES:
        wanted = next(iter(mates.values()), "").rpartition("-")[0]
        fault = reasons.OTHER_SET.about(set=piece.plank_set.number, wanted=wanted)
        return Asked(data, {"mate_fault": fault})
    part = Part.objects.filter(code=code).select_related("instrument").first()
    if part is None and piece is None:
        return Asked(data, refusal=reasons.UNKNOWN_CODE.about(code=code))
    if part and part.instrument_id != bench.instrument_id:
        fault = reasons.WRONG_MATE.about(
            owner=part.instrument.serial, serial=bench.serial
        )
        return Asked(data, {"mate_fault": fault})
    fault = reasons.NOT_A_MATE.about(
        operation=bench.title(step), mates_words=", ".join(mates.values())
    )
    return Asked(data, {"mate_fault": fault})


def _with_batches(wish: Wish) -> Callable[..., Asked]:
    """Look at the batches of a press that begins or ends work, and say what is used.

    From the begin on a part has met what stands there: what is seen while the glue is
    wet, or is never finished for that, is seen in that glue.
    """

    def look_up(
        data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
    ) -> Asked:
        line = bench.route.by_id[step.operation_id]
        if not line.batches:
            return Asked(data)
        brought = [code for code in data.get("batches", "").split(",") if code]
        hand = queries.batches_at_hand(
            needs=line.batches,
            place=who.station,
            at=at,
            past=who.past,
            brought=brought,
        )
        faults = queries.batch_faults_of(
            bench=bench, step=step, wish=wish, place=who.station, at=at, hand=hand
        )
        said = {name: value for name, value in data.items() if name != "batches"}
        if used := [one.code for one in hand.values() if one.code in brought]:
            said["batches"] = ",".join(used)
        said["uses"] = used_of(line.batches, hand)
        return Asked(said, {"batch_faults": faults})

    return look_up


def _use(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    """Find what a serial number is of, and whether it was built in before."""
    line = bench.route.by_id[step.operation_id]
    need = open_need(line.serials, queries.notes_of(step_id=step.id).serials)
    if need is None:
        no = reasons.SERIAL_NOT_ASKED.about(operation=bench.title(step))
        return Asked(data, refusal=no)
    serial = read_serial(data["serial"])
    if isinstance(serial, Refusal):
        return Asked(data, refusal=serial)
    queries.lock_material(material_id=need.material_id)
    fault = next(
        (
            reasons.SERIAL_USED.about(
                material=need.material, number=serial, other=one.serial
            )
            for one in queries.built_in(material_id=need.material_id, serial=serial)
            # A rework does the same work again, with the same piece.
            if one.part_id != step.part_id or one.step_id == step.id
        ),
        None,
    )
    row = {"need": need.id, "batch": None, "serial": serial}
    return Asked({**data, "uses": [row]}, {"use_fault": fault})


def _hold(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    if not data.get("reason", "").strip():
        return Asked(data, refusal=reasons.REASON_MISSING)
    return Asked({**data, "part": step.part_id if data.get("only_part") else None})


def _lift(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    if not data.get("reason", "").strip():
        return Asked(data, refusal=reasons.REASON_MISSING)
    is_open = Hold.objects.filter(
        instrument_id=bench.instrument_id,
        event__event_id=data["hold"],
        lifted__isnull=True,
    ).exists()
    if not is_open:
        return Asked(data, refusal=reasons.NO_SUCH_HOLD.about(serial=bench.serial))
    return Asked(data)


def _allow(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    if not data.get("reason", "").strip():
        return Asked(data, refusal=reasons.REASON_MISSING)
    gate = Refusal.registry.get(data["gate"])
    if gate is None or not gate.may_allow:
        return Asked(data, refusal=reasons.NOT_LET_PASS)
    return Asked(data)


def _ask(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    """Find what stands closed, so that whoever is asked reads the same sentence.

    What a press met may be told by its refusal alone, such as a gauge's.
    """
    gate = Refusal.registry.get(data["gate"])
    if gate is None or not gate.may_allow:
        return Asked(data, refusal=reasons.NOT_LET_PASS)
    notes = queries.notes_of(step_id=step.id)
    if gate.code in notes.asked:
        fault = reasons.ASKED_ALREADY.about(operation=bench.title(step))
        return Asked(data, {"remark_fault": fault})
    wish = wish_next(step.state, bench.route.by_id[step.operation_id].kind)
    facts = facts_of(
        bench,
        step,
        notes,
        station=who.station,
        person=str(who.person),
        roles=frozenset(who.person.roles),
        held=None,
        mates=queries.mates_of(bench=bench, step=step),
        qualified=queries.is_qualified(
            bench=bench, step=step, person=who.person, at=at
        ),
        wood_fault=queries.wood_fault(
            bench=bench, step=step, wish=wish, place=who.station, at=at
        ),
        batch_faults=queries.batch_faults_of(
            bench=bench, step=step, wish=wish, place=who.station, at=at
        ),
    )
    closed = {one.code: one.words for one in closed_gates(facts, wish, at)}
    words = closed.get(gate.code) or queries.words_of_last_refusal(
        step_id=step.id, gate=gate.code
    )
    if words is None:
        fault = reasons.NOT_ASKABLE.about(operation=bench.title(step))
        return Asked(data, {"remark_fault": fault})
    return Asked({**data, "about": dict(words)})


def _undo(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    found = queries.find_undoing(
        instrument_id=bench.instrument_id, event_id=data["event"]
    ) or queries.find_elsewhere(event_id=data["event"])
    if found is None or found.target.step_id != step.id:
        fault = reasons.NO_SUCH_EVENT.about(operation=bench.title(step))
        return Asked(data, {"remark_fault": fault})
    if found.undone_by is not None or found.went_to is not None:
        return Asked(data, {"remark_fault": found.never})
    taking = queries.taking_of(person=who.person, reason=data.get("reason", ""), at=at)
    why = why_not(found.target, found.hanging, taking, found.way)
    return Asked(data, {"remark_fault": why}, corrects=found.event)


def _swap(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    theirs = Part.objects.filter(code=data["with"]).first()
    if theirs is None:
        return Asked(data, refusal=reasons.UNKNOWN_CODE.about(code=data["with"]))
    fault = swap.why_not(
        queries.side_of(part=Part.objects.get(pk=step.part_id)),
        queries.side_of(part=theirs),
        shown=(data["of"], data["to"]),
        reason=data.get("reason", ""),
    )
    return Asked(data, {"remark_fault": fault})


def _replace(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    if not data.get("reason", "").strip():
        return Asked(data, refusal=reasons.REASON_MISSING)
    part = Part.objects.get(pk=step.part_id)
    fault = anew.why_not_anew(queries.side_of(part=part))
    return Asked(data, {"remark_fault": fault})


def _wood(
    data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime, who: Who
) -> Asked:
    if not bench.part(step.part_id).wants_wood:
        fault = anew.NO_WOOD_WANTED.about(serial=bench.serial)
        return Asked(data, {"remark_fault": fault})
    no = orders.look_at_wood(part_id=step.part_id, plank_set_id=data["set"])
    return Asked(data, {"remark_fault": no})


LOOK_UPS: Mapping[Wish, Callable[..., Asked]] = {
    Wish.START: _with_batches(Wish.START),
    Wish.FINISH: _with_batches(Wish.FINISH),
    Wish.READ: _reading,
    Wish.MATE: _mate,
    Wish.USE: _use,
    Wish.HOLD: _hold,
    Wish.LIFT: _lift,
    Wish.ALLOW: _allow,
    Wish.DECLINE: _allow,
    Wish.ASK: _ask,
    Wish.UNDO: _undo,
    Wish.SWAP: _swap,
    Wish.REPLACE: _replace,
    Wish.WOOD: _wood,
}


def effects(
    wish: Wish, data: Mapping[str, Any], bench: Bench, step: StepNow, at: datetime
) -> dict[str, Any]:
    """Do what an accepted wish does beyond its own step, and name it for the ledger."""
    if wish is Wish.REWORK:
        added = orders.insert_rework(
            part_id=step.part_id, after=step.position, operations=data["operations"]
        )
        return {"added": [new.pk for new in added]}
    if wish is Wish.SCRAP:
        return {"void": [other.id for other in bench.steps]}
    if wish is Wish.REPLACE:
        return _made_instead(bench, step, at)
    if wish is Wish.WOOD:
        given = orders.give_wood(part_id=step.part_id, plank_set_id=data["set"])
        return {"number": given.number}
    return {}


def _made_instead(bench: Bench, step: StepNow, at: datetime) -> dict[str, Any]:
    """Make a part anew; ``again`` is what was begun and has to be done once more."""
    old = bench.part(step.part_id)
    new = orders.make_instead(part_id=old.id, at=at)
    here = bench.route.by_id[step.operation_id].number
    return {
        "void": [other.id for other in bench.steps if other.part_id == old.id],
        "again": [
            line.id
            for line in bench.route.lines
            if line.branch is old.branch and line.number <= here
        ],
        "made": {
            "part": new.pk,
            "code": new.code,
            "instead_of": old.id,
            "wants_wood": new.wants_wood,
            "steps": list(new.steps.order_by("position").values_list("pk", flat=True)),
        },
    }
