"""What was heard since a number, and how far back does it reach?

On PostgreSQL numbers are given out before the commit, so that a row may come in below
the newest; how many lie close below it tells that (see ``pulse``).
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Max, Min, QuerySet

from travelers.floor.models import Event
from travelers.floor.queries.pulse import STILL_COMING
from travelers.floor.rules.machine import Wish

# What opens, closes, adds or drops a step, or takes that back.
MOVING = (
    *(Wish.START, Wish.FINISH, Wish.LOAD, Wish.TAKE_OUT),
    *(Wish.UNDO, Wish.REWORK, Wish.SCRAP, Wish.SWAP, Wish.REPLACE),
)


@dataclass(frozen=True, slots=True)
class Newest:
    """The number of the newest event, and how many lie close below it."""

    seq: int
    near: int


def newest_heard() -> Newest:
    """Say how far the ledger goes."""
    seq = Event.objects.aggregate(newest=Max("seq"))["newest"] or 0
    return Newest(seq, near_heard(seq=seq))


def near_heard(*, seq: int) -> int:
    """Count the events close below a number, and its own."""
    return Event.objects.filter(seq__gt=seq - STILL_COMING, seq__lte=seq).count()


def earliest_moved(*, after: int) -> datetime | None:
    """Say how far back the moving events above a number reach.

    What takes something back reaches back to that; what comes in from paper or a
    tablet without network, to when it happened.
    """
    reach = _moving(after).aggregate(
        happened=Min("happened_at"), undone=Min("corrects__happened_at")
    )
    return min((at for at in reach.values() if at), default=None)


def first_seq(*, after: int, since: datetime) -> int | None:
    """Find the lowest number above one whose event happened since a moment."""
    rows = Event.objects.filter(seq__gt=after, happened_at__gte=since)
    found: int | None = rows.aggregate(first=Min("seq"))["first"]
    return found


def instruments_moved(*, after: int, since: datetime) -> set[int]:
    """Name the instruments that events above a number moved since a moment."""
    rows = _moving(after).filter(happened_at__gte=since)
    return set(rows.order_by().values_list("instrument_id", flat=True))


@dataclass(frozen=True, slots=True)
class Reworked:
    """When rework dropped steps and added others, by their numbers."""

    dropped: dict[int, datetime]
    added: dict[int, datetime]


def reworked(*, part_ids: Collection[int]) -> Reworked:
    """Say when the steps of parts were added or dropped by rework."""
    found = Reworked({}, {})
    rows = Event.objects.filter(kind=Wish.REWORK, accepted=True, part_id__in=part_ids)
    for step, at, data in rows.values_list("step_id", "happened_at", "data"):
        if "state" in data and step:
            found.dropped[step] = at
        for new in data.get("added", ()):
            found.added[new] = at
    return found


def _moving(after: int) -> QuerySet[Event]:
    return Event.objects.filter(seq__gt=after, accepted=True, kind__in=MOVING)
