"""In which order are the parts that are ready at a station taken, and why?"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

# A window that closes within this time goes before every due date.
CLOSING = timedelta(hours=24)
# A window is over after its last moment, not with it.
JUST_AFTER = timedelta.resolution


class Why(StrEnum):
    """The reason for a part's place in the line."""

    CLOSING = "CLOSING"
    PINNED = "PINNED"
    LATE = "LATE"
    MATES_WAIT = "MATES_WAIT"
    DUE = "DUE"
    WAITED = "WAITED"
    MATES_COME = "MATES_COME"
    LOAD = "LOAD"
    RESTS = "RESTS"
    RAN_OUT = "RAN_OUT"
    HELD = "HELD"


@dataclass(frozen=True, slots=True)
class Waiting:
    """A part that is ready, with what decides its place in the line.

    Its order is on time if the step is done on the day ``done_by``.  ``mates_by`` is
    the day until which nobody misses it, since its mates come to their join no sooner;
    ``mates_wait`` says that they are all there.  ``lies`` is for how long it lies in a
    room once it is in.
    """

    key: int
    done_by: date
    ready_at: datetime
    held: bool = False
    not_before: datetime | None = None
    not_after: datetime | None = None
    pinned: bool = False
    mates_wait: bool = False
    mates_by: date | None = None
    lies: timedelta | None = None

    @property
    def wanted_on(self) -> date:
        """Give the day on which it is wanted: its order's, or when its mates come."""
        return max(self.done_by, self.mates_by or self.done_by)


@dataclass(frozen=True, slots=True)
class Placed:
    """A part's place; ``beside`` is the part that it fills a load with."""

    key: int
    why: Why
    until: datetime | None = None
    beside: int | None = None

    @property
    def can_be_taken(self) -> bool:
        return self.why not in (Why.RESTS, Why.RAN_OUT, Why.HELD)


# A part with the reason for its place, as far as it is known.
Pair = tuple[Why, Waiting]


def line_up(
    waiting: Iterable[Waiting], *, at: datetime, today: date, room: int = 0
) -> list[Placed]:
    """Put the parts in line.

    1. Windows that close, the nearest first.
    2. What a planner put first.
    3. By the day on which each has to be done here; of one day those whose mates wait,
       then those that have waited longest.  On one machine no other order makes the
       greatest lateness smaller (Jackson 1955).
    4. With ``room`` places free, what lies as long as the first and fits in beside it
       stands there, but behind all that is late.
    5. What rests, what needs the lead and what is held stands behind all that can be
       taken at once.
    """
    ranked = sorted(
        ((_why(one, at, today), one) for one in waiting),
        key=lambda pair: (RANK[pair[0]], *_within(*pair), pair[1].key),
    )
    beside = _together(ranked, room)
    firm = [pair for pair in ranked if pair[0] in FIRM]
    loose = [pair for pair in ranked if pair[0] in LOOSE]
    head = loose[: 0 if firm else 1]
    joined = [pair for pair in loose if pair[1].key in beside]
    moved = {one.key for _, one in (*head, *joined)}
    others = [pair for pair in loose if pair[1].key not in moved]
    last = [pair for pair in ranked if pair[0] not in (*FIRM, *LOOSE)]
    line = [*firm, *head, *joined, *others, *last]
    return [
        Placed(
            one.key,
            Why.LOAD if one.key in beside else _said(line, place),
            _until(why, one),
            beside.get(one.key),
        )
        for place, (why, one) in enumerate(line)
    ]


def changes(waiting: Iterable[Waiting]) -> Iterator[datetime]:
    """Give the moments at which the line becomes another on the same day."""
    for one in waiting:
        if one.not_before:
            yield one.not_before
        if one.not_after:
            yield one.not_after - CLOSING
            yield one.not_after + JUST_AFTER


RANK = {
    Why.CLOSING: 0,
    Why.PINNED: 1,
    Why.LATE: 2,
    Why.DUE: 2,
    Why.MATES_COME: 2,
    Why.RESTS: 3,
    Why.RAN_OUT: 4,
    Why.HELD: 5,
}
# Nothing overtakes these to fill a load; of the others one may overtake another.
FIRM = (Why.CLOSING, Why.PINNED, Why.LATE)
LOOSE = (Why.DUE, Why.MATES_COME)


def _why(one: Waiting, at: datetime, today: date) -> Why:
    if one.held:
        return Why.HELD
    if one.not_before and at < one.not_before:
        return Why.RESTS
    if one.not_after and at > one.not_after:
        return Why.RAN_OUT
    return _why_taken(one, at, today)


def _why_taken(one: Waiting, at: datetime, today: date) -> Why:
    """Say why a part that can be taken at once has its place."""
    if one.not_after and one.not_after - at <= CLOSING:
        return Why.CLOSING
    if one.pinned:
        return Why.PINNED
    if one.wanted_on < today:
        return Why.LATE
    return Why.MATES_COME if one.wanted_on > one.done_by else Why.DUE


def _until(why: Why, one: Waiting) -> datetime | None:
    return one.not_before if why is Why.RESTS else one.not_after


def _within(why: Why, one: Waiting) -> tuple[datetime | date, bool, datetime]:
    """Order those of one rank: by the moment that matters, or by day, mates and age."""
    if why in (Why.RESTS, Why.CLOSING, Why.RAN_OUT):
        return _until(why, one) or one.ready_at, False, one.ready_at
    return one.wanted_on, not one.mates_wait, one.ready_at


def _together(ranked: Sequence[Pair], room: int) -> dict[int, int]:
    """Say which parts fill a load with the first, and beside which they stand."""
    firm = sum(why in FIRM for why, _ in ranked)
    loose = [one for why, one in ranked if why in LOOSE]
    if not ranked or ranked[0][0] not in (*FIRM, *LOOSE):
        return {}
    first = ranked[0][1]
    alike = [one for one in loose if one.lies == first.lies and one is not first]
    free = room - max(firm, 1)
    if first.lies is None or free <= 0:
        return {}
    return {one.key: first.key for one in alike[:free]}


def _said(line: Sequence[Pair], place: int) -> Why:
    """Say more closely what put a part of one day before or behind another."""
    why, one = line[place]
    if why not in (Why.DUE, Why.LATE):
        return why
    if why is Why.DUE and one.mates_wait and _has_rivals(line, one):
        return Why.MATES_WAIT
    before = line[place - 1] if place else None
    # Behind a part that is wanted the same day only its age can have put it there.
    is_younger = (
        before is not None
        and RANK[before[0]] == RANK[why]
        and before[1].wanted_on == one.wanted_on
        and before[1].mates_wait == one.mates_wait
    )
    return Why.WAITED if is_younger else why


def _has_rivals(line: Sequence[Pair], one: Waiting) -> bool:
    """Say whether a part whose mates wait stands before others of its day for that."""
    return any(
        why in LOOSE and other.wanted_on == one.wanted_on and not other.mates_wait
        for why, other in line
    )
