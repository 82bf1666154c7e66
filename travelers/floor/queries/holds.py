"""Why are the held parts of several instruments held?"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from travelers.floor.models import Hold


@dataclass(frozen=True, slots=True)
class Stop:
    """An open hold; without a part it stops the whole instrument."""

    instrument_id: int
    part_id: int | None
    reason: str
    at: datetime
    by: str


def open_holds(*, instrument_ids: Iterable[int]) -> tuple[Stop, ...]:
    """Read the open holds of instruments, the oldest first."""
    rows = (
        Hold.objects.filter(instrument_id__in=list(instrument_ids), lifted__isnull=True)
        .select_related("event__person")
        .order_by("event__happened_at", "event_id")
    )
    return tuple(
        Stop(
            row.instrument_id,
            row.part_id,
            row.reason,
            row.event.happened_at,
            str(row.event.person),
        )
        for row in rows
    )


def open_hold_ids(*, event_ids: Iterable[UUID]) -> frozenset[UUID]:
    """Say which of some events place a hold that is still open."""
    rows = Hold.objects.filter(event__event_id__in=list(event_ids), lifted__isnull=True)
    return frozenset(rows.values_list("event__event_id", flat=True))
