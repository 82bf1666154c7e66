"""Do loads and stays say what follows from the ledger?"""

from collections.abc import Iterable, Iterator
from typing import Any
from uuid import UUID

from travelers.floor.models import Event, Load, Stay
from travelers.floor.queries.audit.difference import (
    NOTHING,
    Difference,
    differ_by_key,
    said,
)
from travelers.floor.queries.benches import told_of
from travelers.floor.rules import loads
from travelers.orders.models import Instrument


def compare_stays(
    instrument: Instrument, accepted: Iterable[Event]
) -> Iterator[Difference]:
    """Compare each stay with the events that put the part in and took it out."""
    events = list(accepted)
    seqs = {str(event.event_id): event.seq for event in events}
    ought: dict[int, dict[str, Any]] = {
        seqs[stay.put_in]: {
            "load": UUID(stay.load),
            "step": stay.step_id,
            "taken out": seqs.get(stay.taken_out or ""),
        }
        for stay in loads.stays(told_of(event=event) for event in events)
    }
    have = {
        row.event_id: {
            "load": row.load_id,
            "step": row.step_id,
            "taken out": row.taken_out_id,
        }
        for row in Stay.objects.filter(event__instrument=instrument)
    }
    yield from differ_by_key(instrument.serial, "stay", have, ought)


def compare_load(load: Load) -> Iterator[Difference]:
    """Compare a load with its stays: one station, and the first of them began it."""
    where, what = "load", str(load.pk)
    stays = Stay.objects.filter(load=load).select_related("event").order_by("event_id")
    events = [stay.event for stay in stays]
    if not events:
        yield Difference(where, what, "stays", "a row", NOTHING)
        return
    first = events[0]
    for field, has, ought in (
        ("person", load.person_id, first.person_id),
        ("begun_at", load.begun_at, first.happened_at),
        *(("station", load.station_id, event.station_id) for event in events),
    ):
        if has != ought:
            yield Difference(where, what, field, said(has), said(ought), first.seq)
