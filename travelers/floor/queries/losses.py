"""How often does an operation send parts back or lose them, and how long do holds last?

Only what stands counts: what was refused or taken back was none.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from travelers.floor.models import Event, Hold
from travelers.floor.rules.machine import Wish
from travelers.orders.rules import StepState


@dataclass(frozen=True, slots=True)
class Loss:
    """A part that was sent back or scrapped while it was at an operation.

    ``again`` are the operations that are done once more, by rework or on a part that
    is made anew; none where the instrument is scrapped.
    ``is_done`` says whether the operation was done all the same; else it was left while
    it was under way, from ``began_at`` on where it was begun.
    """

    operation_id: int
    is_scrap: bool
    again: tuple[int, ...]
    is_done: bool
    station_id: int | None
    began_at: datetime | None
    decided_at: datetime


def losses(*, since: datetime, until: datetime) -> tuple[Loss, ...]:
    """List the reworks and scraps that were decided in a time, the oldest first."""
    rows = Event.objects.filter(
        kind__in=(Wish.REWORK, Wish.SCRAP, Wish.REPLACE),
        accepted=True,
        corrected_by=None,
        step__isnull=False,
        happened_at__gte=since,
        happened_at__lte=until,
    ).order_by("seq")
    return tuple(
        Loss(
            operation,
            kind == Wish.SCRAP,
            tuple(data.get("operations") or data.get("again", ())),
            state == StepState.DONE,
            station,
            began,
            decided,
        )
        for operation, kind, data, state, station, began, decided in rows.values_list(
            "step__operation_id",
            "kind",
            "data",
            "step__state",
            "step__at_station_id",
            "step__started_at",
            "happened_at",
        )
    )


def lifted_after(*, since: datetime, until: datetime) -> tuple[timedelta, ...]:
    """Say how long the holds lasted that were lifted in a time."""
    rows = Hold.objects.filter(
        lifted__happened_at__gte=since, lifted__happened_at__lte=until
    )
    return tuple(
        end - start
        for start, end in rows.order_by("event_id").values_list(
            "event__happened_at", "lifted__happened_at"
        )
    )


def held_since(
    *, instrument_ids: Collection[int]
) -> tuple[tuple[int, int | None, datetime], ...]:
    """Give each open hold's instrument, part if it is of one, and since when."""
    rows = Hold.objects.filter(instrument_id__in=instrument_ids, lifted__isnull=True)
    return tuple(
        rows.order_by("event_id").values_list(
            "instrument_id", "part_id", "event__happened_at"
        )
    )
