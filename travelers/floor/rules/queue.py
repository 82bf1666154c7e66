"""In which order are the parts that are ready at a station taken, and why?"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

# A window that closes within this time goes before every due date.
CLOSING = timedelta(hours=24)


class Why(StrEnum):
    """The reason for a part's place in the line."""

    CLOSING = "CLOSING"
    LATE = "LATE"
    DUE = "DUE"
    WAITED = "WAITED"
    RESTS = "RESTS"
    RAN_OUT = "RAN_OUT"
    HELD = "HELD"


@dataclass(frozen=True, slots=True)
class Waiting:
    """A part that is ready, with what decides its place in the line."""

    key: int
    due_on: date
    ready_at: datetime
    held: bool = False
    not_before: datetime | None = None
    not_after: datetime | None = None


@dataclass(frozen=True, slots=True)
class Placed:
    key: int
    why: Why
    until: datetime | None = None

    @property
    def can_be_taken(self) -> bool:
        return self.why not in (Why.RESTS, Why.RAN_OUT, Why.HELD)


def line_up(waiting: Iterable[Waiting], *, at: datetime, today: date) -> list[Placed]:
    """Put the parts in line: closing windows, then due dates, then age.

    What rests, what needs the lead and what is held stands behind what can be
    taken at once.
    """
    ranked = sorted(
        ((_why(one, at, today), one) for one in waiting),
        key=lambda pair: (RANK[pair[0]], *_within(*pair), pair[1].key),
    )
    placed: list[Placed] = []
    before: date | None = None
    for why, one in ranked:
        # Behind a part that is due the same day only its age can have put it there.
        same_day = why in (Why.DUE, Why.LATE) and before == one.due_on
        said = Why.WAITED if same_day else why
        placed.append(Placed(one.key, said, _until(why, one)))
        before = one.due_on if why in (Why.DUE, Why.LATE) else None
    return placed


RANK = {
    Why.CLOSING: 0,
    Why.LATE: 1,
    Why.DUE: 1,
    Why.RESTS: 2,
    Why.RAN_OUT: 3,
    Why.HELD: 4,
}


def _why(one: Waiting, at: datetime, today: date) -> Why:
    if one.held:
        return Why.HELD
    if one.not_before and at < one.not_before:
        return Why.RESTS
    if one.not_after and at > one.not_after:
        return Why.RAN_OUT
    if one.not_after and one.not_after - at <= CLOSING:
        return Why.CLOSING
    return Why.LATE if one.due_on < today else Why.DUE


def _until(why: Why, one: Waiting) -> datetime | None:
    return one.not_before if why is Why.RESTS else one.not_after


def _within(why: Why, one: Waiting) -> tuple[datetime | date, datetime]:
    """Order those of one rank: by the moment that matters, or by due date and age."""
    if why in (Why.RESTS, Why.CLOSING, Why.RAN_OUT):
        return _until(why, one) or one.ready_at, one.ready_at
    return one.due_on, one.ready_at
