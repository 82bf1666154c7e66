"""Do steps, parts, holds and readings say what follows from the ledger?"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import Q

from travelers.floor.models import Event, Hold, MaterialUse, Reading
from travelers.floor.queries.audit.difference import (
    Difference,
    differ,
    differ_by_key,
    said,
)
from travelers.floor.queries.audit.shape import name_of
from travelers.floor.rules.bench import (
    INSTRUMENT_MOVES,
    PART_MOVES,
    STEP_MOVES,
    PartNow,
    StepNow,
)
from travelers.floor.rules.fold import Folded
from travelers.floor.rules.machine import Wish
from travelers.orders.models import Instrument, Part

# As many decimals as a reading's column keeps.
KEPT = Decimal("0.0001")


def compare_steps(
    folded: Folded, rows: Mapping[int, StepNow], accepted: Iterable[Event]
) -> Iterator[Difference]:
    bench = folded.bench
    ought = {**{step.id: step for step in bench.steps}, **folded.closed}
    last = {event.step_id: event.seq for event in accepted}
    for step in rows.values():
        yield from differ(
            bench.serial,
            name_of(bench, step),
            step,
            ought[step.id],
            STEP_MOVES,
            last.get(step.id),
        )


def compare_parts(folded: Folded, parts: Iterable[PartNow]) -> Iterator[Difference]:
    for part in parts:
        what, ought = f"part {part.code}", folded.bench.part(part.id)
        yield from differ(folded.bench.serial, what, part, ought, PART_MOVES, None)


def compare_made(
    instrument: Instrument, accepted: Iterable[Event]
) -> Iterator[Difference]:
    """Compare the parts that were made anew, and their wood, with what was told.

    One that a swap brought in is told of in another ledger.
    """
    told: dict[int, list[tuple[str, object, int]]] = {}
    for event in accepted:
        if event.kind == Wish.REPLACE:
            made = event.data["made"]
            told[made["part"]] = [
                ("instead_of_id", made["instead_of"], event.seq),
                ("code", made["code"], event.seq),
            ]
        elif event.kind == Wish.WOOD and event.part_id:
            row = ("plank_set_id", event.data["set"], event.seq)
            told.setdefault(event.part_id, []).append(row)
    here = Q(instrument=instrument, instead_of__isnull=False)
    for part in Part.objects.filter(here | Q(pk__in=told)).order_by("pk"):
        if part.pk not in told and not _was_made(part):
            what, has = f"part {part.code}", said(part.instead_of_id)
            yield Difference(instrument.serial, what, "instead_of", has, said(None))
        for field, ought, seq in told.get(part.pk, ()):
            if (has := getattr(part, field)) != ought:
                what, where = f"part {part.code}", instrument.serial
                yield Difference(where, what, field, said(has), said(ought), seq)


def _was_made(part: Part) -> bool:
    """Say whether some ledger tells that a part was made instead of another."""
    rows = Event.objects.filter(kind=Wish.REPLACE, accepted=True, part=part.instead_of)
    return any(row.data["made"]["part"] == part.pk for row in rows)


def compare_instrument(folded: Folded, row: Instrument) -> Iterator[Difference]:
    yield from differ(
        row.serial, "instrument", row, folded.bench, INSTRUMENT_MOVES, None
    )


def compare_corrections(
    instrument: Instrument, accepted: Sequence[Event]
) -> Iterator[Difference]:
    """Compare which event each correction points at with the one that it names."""
    number = {str(event.event_id): event.seq for event in accepted}
    for event in accepted:
        names = number.get(event.data["event"]) if event.kind == Wish.UNDO else None
        if event.corrects_id != names:
            has, ought = said(event.corrects_id), said(names)
            what = f"event {event.kind}"
            yield Difference(instrument.serial, what, "corrects", has, ought, event.seq)


def compare_holds(
    instrument: Instrument, accepted: Iterable[Event]
) -> Iterator[Difference]:
    """Compare each hold with the event that placed it and the one that lifted it."""
    ought = {hold.pop("seq"): hold for hold in holds_told(accepted).values()}
    for hold in ought.values():
        del hold["at"]
    have = {
        hold.event_id: {
            "part": hold.part_id,
            "reason": hold.reason,
            "lifted": hold.lifted_id,
        }
        for hold in Hold.objects.filter(instrument=instrument)
    }
    yield from differ_by_key(instrument.serial, "hold", have, ought)


def holds_told(accepted: Iterable[Event]) -> dict[str, dict[str, Any]]:
    """Read an instrument's holds from its events; those of a part go over with it."""
    holds: dict[str, dict[str, Any]] = {}
    for event in accepted:
        if event.kind == Wish.HOLD:
            holds[str(event.event_id)] = {
                "seq": event.seq,
                "at": event.happened_at,
                "part": event.data["part"],
                "reason": event.data["reason"][:200],
                "lifted": None,
            }
        elif event.kind == Wish.LIFT:
            holds.get(event.data["hold"], {})["lifted"] = event.seq
        elif event.kind == Wish.SWAP:
            gone, came = event.data["outgoing"]["part"], event.data["incoming"]
            holds = {key: one for key, one in holds.items() if one["part"] != gone}
            for told in came["holds"]:
                holds[told["event"]] = {
                    "seq": told["seq"],
                    "at": datetime.fromisoformat(told["at"]),
                    "part": came["part"],
                    "reason": told["reason"],
                    "lifted": told["lifted"],
                }
    return holds


def compare_readings(
    instrument: Instrument, accepted: Iterable[Event]
) -> Iterator[Difference]:
    ought: dict[tuple[int, int, int], dict[str, Any]] = {}
    for event in accepted:
        for told in event.data["readings"] if event.kind == Wish.READ else ():
            ought[event.seq, told["check"], told["place"]] = {
                "value": Decimal(told["value"]).quantize(KEPT),
                "unit": told["unit"],
                "verdict": told["verdict"],
                "gauge": told["gauge"],
                "in_calibration": told["in_calibration"],
            }
    have = {
        (row.event_id, row.characteristic_id, row.place): {
            "value": row.value,
            "unit": row.unit,
            "verdict": row.verdict,
            "gauge": row.gauge_id,
            "in_calibration": row.in_calibration,
        }
        for row in Reading.objects.filter(event__instrument=instrument)
    }
    yield from differ_by_key(instrument.serial, "reading", have, ought)


def compare_uses(
    instrument: Instrument, accepted: Iterable[Event]
) -> Iterator[Difference]:
    """Compare each use of a batch or a piece with the event that told of it."""
    ought = {
        (event.seq, told["need"], told["serial"]): {"batch": told["batch"]}
        for event in accepted
        for told in event.data.get("uses", ())
    }
    have = {
        (row.event_id, row.need_id, row.serial): {"batch": row.batch_id}
        for row in MaterialUse.objects.filter(event__instrument=instrument)
    }
    yield from differ_by_key(instrument.serial, "use", have, ought)
