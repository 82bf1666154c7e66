"""By when would a new order be finished, and what would it do to the others?"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

from travelers.formulas import forecast as fc
from travelers.formulas.odds import of_100
from travelers.formulas.releasing import Start, Wanted, filled, starts
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.planning.queries.forecast.to_come import ToCome
from travelers.planning.queries.release.asked import Asked, asked
from travelers.planning.queries.release.ground import Ground, ground
from travelers.planning.queries.release.page import kept_leads
from travelers.planning.rules import CERTAINTIES
from travelers.routes import queries as routes

# No order has such a number: a number has no space.
NEW = "new order"
# Shares late that differ by less than this are not worth a row.
WORTH_TELLING = 0.005
# So often, in so many futures, a day is looked for that holds by its own turn.
SETTLED, TRIED = 5, 50


class Goes(StrEnum):
    """When a new order is taken at the stations."""

    BY_DATE = "BY_DATE"
    BEHIND = "BEHIND"


@dataclass(frozen=True, slots=True)
class Wish:
    """A new order as somebody asks for it."""

    model_id: int
    finish: str
    quantity: int
    wished_on: date
    certainty_pct: int
    goes: Goes = Goes.BY_DATE


@dataclass(frozen=True, slots=True)
class OtherOrder:
    """How likely of 100 another order is late, without the new one and with it."""

    order: str
    due_on: date
    here_pct: float
    there_pct: float
    later_days: float


@dataclass(frozen=True, slots=True)
class Answer:
    """By when a new order is finished, and what it does to others.

    ``release_on`` is the first day on which floor and rooms have room for it,
    ``held_by`` what kept it from today; without such a day there are no days ``by``
    which it is finished.  Days and odds are corrected by what came of ``learned_of``
    earlier ones; ``more_late``, how many instruments of others are late more, compares
    futures as they are: a mean and what holds it 95 of 100 times.
    """

    wish: Wish
    at: datetime
    seed: int
    futures: int
    line: fc.Line
    release_on: date | None
    held_by: str
    by: tuple[date, date, date] | None
    in_time_pct: float
    others: tuple[OtherOrder, ...]
    other_orders: int
    more_late: tuple[float, float, float] | None
    learned_of: int

    @property
    def holds(self) -> bool:
        return self.in_time_pct >= self.wish.certainty_pct - 1e-9

    @property
    def sure(self) -> date | None:
        """The day of the certainty asked for."""
        if self.by is None:
            return None
        return self.by[CERTAINTIES.index(self.wish.certainty_pct)]


def answer(
    *, wish: Wish, at: datetime, zone: ZoneInfo, seed: int, futures: int
) -> Answer:
    """Live through the floor with a new order and without it, with the same luck.

    1. The orders that wait keep the days that a plan gives them.
    2. The new one is released on the first day on which there is room besides.
    3. At the stations it is taken behind all others, or by its day: the one wished, and
       where that does not hold by the day that can be promised instead.
    """
    revision = routes.find_released(model_id=wish.model_id)
    if revision is None:
        raise Refused(NOT_FOUND)
    waiting = asked(at=at)
    new = ToCome(NEW, 0, wish.model_id, revision.pk, wish.quantity, wish.wished_on, 9)
    most = waiting.most
    if most is not None and not waiting.is_set:
        most = max(most, wish.quantity)
    both = replace(waiting, orders=(*waiting.orders, new), most=most)
    here = ground(asked=both, at=at, zone=zone, seed=seed)
    others = _others(here, waiting)
    days = {name: one.day for name, one in others.items() if one.day is not None}
    start = _start(here, waiting, days)
    if start.day is None:
        return _never(here, wish, at, seed, start)
    before = here.line(days, days)
    with_new = {**days, NEW: start.day}
    rank = _rank(here, wish, with_new, seed)
    line = here.line(with_new, with_new, ranks={NEW: rank})
    after = fc.simulate(line, seed, futures)
    without = fc.simulate(before, seed, futures) if before.instruments else None
    return _answer(here, wish, start, after, without, at, seed)


def _others(here: Ground, waiting: Asked) -> dict[str, Start]:
    """Give the other orders their days, by what the last plan of them learned."""
    leads = kept_leads(asked=waiting)
    found = []
    for one in waiting.orders:
        lead = max(here.lead_s(one), leads.get(one.number, 0))
        uses = here.alone[one.number].uses
        found.append(Wanted(one.number, here.latest(one, lead), uses))
    return starts(
        found, here.limits, certainty=waiting.certainty, open_days=here.open_days
    )


def _start(here: Ground, waiting: Asked, days: dict[str, int]) -> Start:
    """Find the first day on which there is room for the new order too."""
    taken = [(here.alone[name].uses, day) for name, day in days.items()]
    wanted = Wanted(NEW, -1, here.alone[NEW].uses)
    limits = filled(here.limits, taken)
    return starts(
        [wanted], limits, certainty=waiting.certainty, open_days=here.open_days
    )[NEW]


def _rank(here: Ground, wish: Wish, days: dict[str, int], seed: int) -> int:
    """Say by which day the new order is taken at the stations.

    A later day puts it behind others, and so makes it later still: it is looked for
    until it holds itself.
    """
    if wish.goes is Goes.BEHIND:
        return here.behind
    rank = (wish.wished_on - here.today).days
    for _ in range(SETTLED):
        line = here.line(days, days, ranks={NEW: rank})
        moments = fc.simulate(line, seed, TRIED).orders_s()[NEW]
        (sure,) = here.by_s(moments, [wish.certainty_pct / 100])
        day = (here.day_of(sure) - here.today).days
        if day <= rank:
            break
        rank = day
    return rank


def _never(here: Ground, wish: Wish, at: datetime, seed: int, start: Start) -> Answer:
    return Answer(
        wish=wish,
        at=at,
        seed=seed,
        futures=0,
        line=fc.Line((), (), ()),
        release_on=None,
        held_by=start.held_by,
        by=None,
        in_time_pct=0.0,
        others=(),
        other_orders=0,
        more_late=None,
        learned_of=here.learned.of,
    )


def _answer(
    here: Ground,
    wish: Wish,
    start: Start,
    after: fc.Futures,
    without: fc.Futures | None,
    at: datetime,
    seed: int,
) -> Answer:
    moments = after.orders_s()[NEW]
    due = next(here.due_s(one) for one in here.asked.orders if one.number == NEW)
    half, usual, sure = (here.day_of(one) for one in here.by_s(moments, fc.ODDS))
    others: tuple[OtherOrder, ...] = ()
    count, more = 0, None
    if without is not None:
        beside = _without_new(after, without)
        others = _other_rows(here, without, beside)
        count = len({one.order for one in without.line.instruments})
        late = fc.compared(without, beside).late
        more = (late.mean, late.low, late.high)
    names = {one.code: one.name for one in here.floor.stations}
    return Answer(
        wish=wish,
        at=at,
        seed=seed,
        futures=after.count,
        line=after.line,
        release_on=here.day(start.day or 0),
        held_by=names.get(start.held_by, start.held_by),
        by=(half, usual, sure),
        in_time_pct=100 * (1 - here.late_share(moments, due)),
        others=others,
        other_orders=count,
        more_late=more,
        learned_of=here.learned.of,
    )


def _without_new(after: fc.Futures, without: fc.Futures) -> fc.Futures:
    """Give the futures with the new order, but only what became of the others."""
    place = {one.name: number for number, one in enumerate(after.line.instruments)}
    kept = [place[one.name] for one in without.line.instruments]
    return replace(after, line=without.line, finishes_s=after.finishes_s[:, kept])


def _other_rows(
    here: Ground, without: fc.Futures, beside: fc.Futures
) -> tuple[OtherOrder, ...]:
    """Tell of which orders the odds change with which they are late."""
    due = {one.order: one.due_s for one in without.line.instruments}
    then = beside.orders_s()
    found = []
    for order, moments in without.orders_s().items():
        shares = [here.late_share(one, due[order]) for one in (moments, then[order])]
        if abs(shares[1] - shares[0]) < WORTH_TELLING:
            continue
        later = float((then[order] - moments).mean()) / 86_400
        found.append(
            OtherOrder(
                order,
                here.day_of(due[order] - 1),
                100 * shares[0],
                100 * shares[1],
                later,
            )
        )
    return tuple(sorted(found, key=_most_changed))


def _most_changed(one: OtherOrder) -> tuple[float, str]:
    return one.here_pct - one.there_pct, one.order


def days_to_promise(*, answer: Answer) -> Sequence[tuple[int, date]]:
    """Give the days that may be promised, each with how sure it is, of 100."""
    if answer.by is None:
        return ()
    found: list[Any] = list(zip(CERTAINTIES, answer.by, strict=True))
    if answer.wish.wished_on not in answer.by:
        found.append((of_100(answer.in_time_pct), answer.wish.wished_on))
    return tuple(sorted(found, key=lambda one: one[1]))
