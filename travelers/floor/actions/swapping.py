"""How do two parts change their instruments, each told in both ledgers?"""

from collections.abc import Mapping
from typing import Any
from uuid import uuid5

from travelers.floor import queries
from travelers.floor.actions import ledger
from travelers.floor.actions.project import lay_over
from travelers.floor.models import Event, Hold
from travelers.floor.rules.bench import Bench
from travelers.floor.rules.swap import standing_of
from travelers.orders import actions as orders


def swap(event: Event, bench: Bench, last_digest: str) -> Bench:
    """Write the two events of a swap that was accepted, and move both parts.

    1. Tell in each event how the part stands that comes to its instrument.
    2. Append them, each to the ledger of its own instrument.
    3. Exchange the rows: the parts with their steps and wood, and their holds.
    4. Open in both instruments what became ready, and say where the parts lie.

    Both instruments are locked by whoever asks.
    """
    found = queries.find_bench(code=event.data["with"], lock=True)
    assert found  # noqa: S101 - looked up when it was judged
    other = queries.bench_of(found=found)
    mine, theirs = event.part_id or 0, found.part_id
    twin = _twin(event, bench, other, theirs)
    here, there = _standing(bench, mine), _standing(other, theirs)
    event.data |= _told(here, there, other, twin)
    twin.data |= _told(there, here, bench, event)
    ledger.append(event, last_digest=last_digest)
    ledger.append(twin, last_digest=found.last_digest)
    orders.exchange_parts(one_id=mine, other_id=theirs)
    for part_id, owner in ((mine, other), (theirs, bench)):
        Hold.objects.filter(part_id=part_id).update(instrument_id=owner.instrument_id)
    lay_over(twin, other)
    return lay_over(event, bench)


def _twin(event: Event, bench: Bench, other: Bench, part_id: int) -> Event:
    """Tell the same from the other instrument's side."""
    step_id = queries.at_hand(bench=other, part_id=part_id).id
    return Event(
        event_id=uuid5(event.event_id, "twin"),
        kind=event.kind,
        instrument_id=other.instrument_id,
        part_id=part_id,
        step_id=step_id,
        person=event.person,
        code=other.part(part_id).code,
        happened_at=event.happened_at,
        recorded_at=event.recorded_at,
        data={
            "with": bench.part(event.part_id or 0).code,
            "of": other.serial,
            "to": bench.serial,
            "reason": event.data["reason"],
        },
        accepted=True,
        came_late=event.came_late,
        source=event.source,
        entered_by_id=event.entered_by_id,
        wish_digest=event.wish_digest,
    )


def _standing(bench: Bench, part_id: int) -> dict[str, Any]:
    return standing_of(
        bench.part(part_id),
        queries.steps_of(part_id=part_id).values(),
        queries.holds_on(part_id=part_id),
    )


def _told(
    outgoing: Mapping[str, Any], incoming: Mapping[str, Any], other: Bench, twin: Event
) -> dict[str, Any]:
    return {
        "outgoing": {"part": outgoing["part"], "code": outgoing["code"]},
        "incoming": dict(incoming),
        "other": {
            "instrument": other.instrument_id,
            "serial": other.serial,
            "event": str(twin.event_id),
        },
    }
