"""How does an accepted event move the rows that the screens read?"""

from dataclasses import replace
from datetime import datetime

from django.db.models import Min, Q

from travelers.floor import queries
from travelers.floor.actions.loads import move_stays, move_stays_back
from travelers.floor.actions.materials import note_brought, write_uses
from travelers.floor.models import Event, Hold, Reading
from travelers.floor.queries.benches import part_now
from travelers.floor.rules.bench import (
    PART_MOVES,
    STEP_MOVES,
    Bench,
    Change,
    StepNow,
    advance,
)
from travelers.floor.rules.fold import (
    added_by,
    exchanged,
    moves_of,
    replaced,
    with_wood,
)
from travelers.floor.rules.machine import Wish
from travelers.floor.rules.swap import Visitor
from travelers.kit.rows import write_rows
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import InstrumentState


def project(event: Event, bench: Bench) -> Bench:
    """Write what the event changes and give the bench as it stands after."""
    wish = Wish(event.kind)
    if wish is Wish.UNDO:
        return _without(event, bench)
    _write_told(event, wish)
    if wish in (Wish.HOLD, Wish.LIFT):
        bench = _with_holds(event, bench)
    if wish is Wish.SCRAP:
        bench = replace(
            bench, state=InstrumentState.SCRAPPED, closed_at=event.happened_at
        )
    if wish is Wish.REPLACE:
        made = event.data["made"]
        new = part_now(Part.objects.get(pk=made["part"]))
        bench = replaced(bench, made, new, event.happened_at)
    elif wish is Wish.WOOD:
        bench = with_wood(bench, event.part_id)
    later: dict[int, StepNow] = {}
    if added := added_by(event.data):
        # Read again: what follows may have moved up to make room.
        steps = queries.open_steps(instrument_id=bench.instrument_id)
        later = {step.id: step for step in steps if step.id in added}
        bench = replace(bench, steps=tuple(s for s in steps if s.id not in later))
    moves = moves_of(bench, later, queries.told_of(event=event))
    if not moves and wish not in (Wish.HOLD, Wish.LIFT, Wish.WOOD):
        return bench
    change = advance(bench, moves, event.happened_at)
    _write(change, bench)
    return change.bench


def _write_told(event: Event, wish: Wish) -> None:
    """Write what an event says beside its step: values, materials, a load."""
    if wish is Wish.READ:
        _write_readings(event)
    if event.data.get("uses"):
        write_uses(event)
    if event.data.get("batches"):
        note_brought(event)
    if wish in (Wish.LOAD, Wish.TAKE_OUT):
        move_stays(event)


def lay_over(event: Event, bench: Bench) -> Bench:
    """Lay the other part on the bench, whose row moved, and look what follows."""
    came = event.data["incoming"]["part"]
    visitor = Visitor(
        part_now(Part.objects.get(pk=came)), queries.steps_of(part_id=came)
    )
    bench = exchanged(bench, event.data, visitor)
    change = advance(bench, [], event.happened_at)
    _write(change, bench)
    return change.bench


def _without(event: Event, bench: Bench) -> Bench:
    """Write the rows as they would be if what is taken back had never been.

    What moved nothing, such as a reading, leaves all rows as they are.
    """
    if event.corrects is None or "state" not in event.corrects.data:
        return bench
    move_stays_back(event.corrects)
    anew = queries.compute_anew(instrument_id=bench.instrument_id)
    after = replace(anew.folded.bench, about=bench.about)
    write_rows(Step, anew.steps_that_differ, STEP_MOVES)
    write_rows(Part, anew.parts_that_differ, PART_MOVES)
    if after.state is not bench.state:
        Instrument.objects.filter(pk=bench.instrument_id).update(
            state=after.state, closed_at=after.closed_at
        )
    return after


def _write(change: Change, before: Bench) -> None:
    write_rows(Step, change.steps, STEP_MOVES)
    write_rows(Part, change.parts, PART_MOVES)
    if change.bench.state is not InstrumentState.OPEN:
        Instrument.objects.filter(
            pk=before.instrument_id, state=InstrumentState.OPEN
        ).update(state=change.bench.state, closed_at=change.bench.closed_at)


def _write_readings(event: Event) -> None:
    Reading.objects.bulk_create(
        Reading(
            event=event,
            characteristic_id=row["check"],
            place=row["place"],
            value=row["value"],
            unit=row["unit"],
            verdict=row["verdict"],
            gauge_id=row["gauge"],
            in_calibration=row["in_calibration"],
        )
        for row in event.data["readings"]
    )


def _with_holds(event: Event, bench: Bench) -> Bench:
    """Open or lift a hold, and say on the bench what is still held since when."""
    if event.kind == Wish.HOLD:
        part_id = event.data["part"]
        Hold.objects.create(
            event=event,
            instrument_id=bench.instrument_id,
            part_id=part_id,
            reason=event.data["reason"][:200],
        )
    else:
        hold = Hold.objects.get(event__event_id=event.data["hold"])
        Hold.objects.filter(pk=hold.pk).update(lifted=event)
        part_id = hold.part_id
    since = _oldest_open(bench.instrument_id, part_id)
    if part_id is None:
        Instrument.objects.filter(pk=bench.instrument_id).update(held_at=since)
        return replace(bench, held_at=since)
    Part.objects.filter(pk=part_id).update(held_at=since)
    parts = tuple(
        replace(part, held_at=since) if part.id == part_id else part
        for part in bench.parts
    )
    return replace(bench, parts=parts)


def _oldest_open(instrument_id: int, part_id: int | None) -> datetime | None:
    scope = Q(part__isnull=True) if part_id is None else Q(part_id=part_id)
    oldest: datetime | None = Hold.objects.filter(
        scope, instrument_id=instrument_id, lifted__isnull=True
    ).aggregate(at=Min("event__happened_at"))["at"]
    return oldest
