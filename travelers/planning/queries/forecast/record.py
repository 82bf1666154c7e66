"""What came of the days that were said, and what is learned from it?

Only what was known at a moment counts there: a forecast made before it, and what was
finished by then.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Literal

from travelers.formulas import odds
from travelers.formulas.shares import Share, share
from travelers.kit.drawing.promises import Promise as Dot
from travelers.orders.models import Instrument
from travelers.orders.rules import InstrumentState
from travelers.planning.models import Forecast

# So far back forecasts are learned from, one a week; of days that came half counts.
YEAR, HALF_YEAR, WEEK = timedelta(days=364), timedelta(days=182), timedelta(days=7)
# Before so many things have come nothing is learned from them, and no share is said.
ENOUGH = 30
# An order is new to the first forecast that is made so soon after its release.
NEW = timedelta(days=21)
# What days are doubted by until the shop's own record says more, by decision 48: they
# come a twentieth later than futures say, and an eighth of the time is open.
DOUBT = odds.Doubt(later=1.05, spread=0.125)
# Of new orders the doubt weighs as much as so many that came just as it says.
SUPPOSED = tuple((n + 1) / ENOUGH for n in range(ENOUGH))
# How sure the days are that are looked at; 80 of 100 is what is spoken of.
SAID = (0.1, 0.25, 0.5, 0.8, 0.95)
SPOKEN = 0.8

Sort = Literal["instruments", "orders"]
SORTS: tuple[Sort, ...] = ("instruments", "orders")


@dataclass(frozen=True, slots=True)
class Foretold:
    """What one forecast said of an instrument or an order, and when that was finished.

    ``grid_s`` are the quantiles of its futures as they were, ``said_s`` by when it was
    said to be finished with the odds of `SAID`; seconds since it was made. ``is_new``
    says whether it is of an order that was just released.
    """

    sort: Sort
    name: str
    made_at: datetime
    grid_s: tuple[float, ...]
    said_s: tuple[float, ...]
    came_at: datetime | None
    is_new: bool = False

    def came_by(self, at: datetime) -> bool:
        return self.came_at is not None and self.came_at <= at


@dataclass(frozen=True, slots=True)
class Learned:
    """How days are corrected, and of how many things that came this is known.

    First the doubt is put into the futures; places are those in the doubted ones.
    """

    correction: odds.Correction = odds.AS_SAID
    of: int = 0
    doubt: odds.Doubt = odds.NO_DOUBT

    def days_s(
        self, grid_s: Sequence[float], shares: Iterable[float]
    ) -> tuple[float, ...]:
        """Give by when it is finished with such odds, corrected by what was seen."""
        doubted_s = self.doubt.doubted_s(grid_s)
        places = (self.correction.place_for(share) for share in shares)
        return tuple(odds.moment_at(place, doubted_s) for place in places)

    def late_share(self, grid_s: Sequence[float], due_s: float) -> float:
        """Say how likely it is finished after a moment, corrected likewise."""
        place = odds.place_of(max(0.0, due_s), self.doubt.doubted_s(grid_s))
        return max(0.0, 1 - self.correction.share_at(place))


@dataclass(frozen=True, slots=True)
class Lessons:
    """What is learned of instruments, of orders, and of such as are not begun yet."""

    instruments: Learned = Learned()
    orders: Learned = Learned()
    new_orders: Learned = Learned()


@dataclass(frozen=True, slots=True)
class Held:
    """How many days of one of the odds held; ``things`` counts what they are of."""

    odds_pct: int
    share: Share
    things: int

    @property
    def dot(self) -> Dot:
        return Dot(
            self.odds_pct,
            self.share.share_pct,
            self.share.least_pct,
            self.share.most_pct,
        )


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of the days that were said of instruments, or of orders."""

    sort: Sort
    held: tuple[Held, ...]
    learned: Learned

    @property
    def spoken(self) -> Held | None:
        """The days of 80 of 100, once enough of them came."""
        found = (one for one in self.held if one.odds_pct == round(100 * SPOKEN))
        return next((one for one in found if one.things >= ENOUGH), None)

    @property
    def dots(self) -> list[Dot]:
        return [one.dot for one in self.held if one.things >= ENOUGH]


@dataclass(frozen=True, slots=True)
class RecordPage:
    """Did the promised days come true?"""

    sorts: tuple[Kept, ...]
    forecasts: int
    enough: int = ENOUGH


def foretold(*, at: datetime) -> tuple[Foretold, ...]:
    """List what was said in a year: one forecast a week, the first one first.

    What was scrapped meanwhile is left out; an order is finished with the last of its
    others.
    """
    weekly: dict[int, int] = {}
    rows = Forecast.objects.filter(made_at__gt=at - YEAR, made_at__lt=at)
    for key, made in rows.order_by("-made_at").values_list("pk", "made_at"):
        weekly.setdefault((at - made) // WEEK, key)
    kept = [
        (made, told)
        for made, told in rows.filter(pk__in=weekly.values())
        .order_by("made_at")
        .values_list("made_at", "results")
        # Those that an older version kept say nothing to learn from.
        if "said" in told
    ]
    ends = _ends({one["name"] for _, told in kept for one in told["instruments"]})
    return tuple(one for made, told in kept for one in _of(made, told, ends))


def lessons(*, at: datetime) -> Lessons:
    """Learn from all that was said before a moment how days are to be corrected.

    Until enough orders have come, they are corrected as instruments are, and until
    enough of these, days are doubted. New orders are doubted always, and corrected by
    what came of those that were new: the more came, the more that counts.
    """
    return lessons_of(told=foretold(at=at), at=at)


def lessons_of(*, told: Sequence[Foretold], at: datetime) -> Lessons:
    """Learn from what was said, as it was known at a moment."""
    before = [one for one in told if at - YEAR < one.made_at < at]
    instruments, orders = (
        _learned([one for one in before if one.sort == sort], at) for sort in SORTS
    )
    return Lessons(
        instruments, orders if orders.of else instruments, _learned_of_new(before, at)
    )


def record_page(*, at: datetime) -> RecordPage:
    """Count the days of the last half year that held, and draw them over their odds."""
    told = foretold(at=at)
    known = lessons_of(told=told, at=at)
    sorts = []
    for sort in SORTS:
        own = [one for one in told if one.sort == sort]
        learned = known.instruments if sort == "instruments" else known.orders
        sorts.append(
            Kept(sort, held_of(told=own, at=at, since=at - HALF_YEAR), learned)
        )
    return RecordPage(tuple(sorts), len({one.made_at for one in told}))


def held_of(
    *, told: Sequence[Foretold], at: datetime, since: datetime
) -> tuple[Held, ...]:
    """Count for each of the odds the days that came in a time, and which of them held.

    A day that has passed has not held while the thing is not finished: which days count
    hangs on what was said alone.
    """
    found = []
    for n, said in enumerate(SAID):
        due = [
            (one, one.made_at + timedelta(seconds=one.said_s[n]))
            for one in told
            if since < one.made_at + timedelta(seconds=one.said_s[n]) <= at
        ]
        if due:
            held = sum(one.came_by(day) for one, day in due)
            things = len({one.name for one, _ in due})
            found.append(Held(round(100 * said), share(held, len(due), things), things))
    return tuple(found)


def _learned(told: Sequence[Foretold], at: datetime) -> Learned:
    came = {one.name for one in told if one.came_by(at)}
    if len(came) < ENOUGH:
        return Learned(doubt=DOUBT)
    return Learned(odds.learned(*_places(told, at, odds.NO_DOUBT)), len(came))


def _learned_of_new(told: Sequence[Foretold], at: datetime) -> Learned:
    """Learn from the first that was said of each order, beside what is supposed."""
    first: dict[str, Foretold] = {}
    for one in told:
        if one.sort == "orders" and one.is_new:
            first.setdefault(one.name, one)
    ended, still = _places(first.values(), at, DOUBT)
    known = odds.learned([*SUPPOSED, *ended], still)
    return Learned(known, len(ended), DOUBT)


def _places(
    told: Iterable[Foretold], at: datetime, doubt: odds.Doubt
) -> tuple[list[float], list[float]]:
    """Give the places of what came, and of now in what was said of the others."""
    ended: list[float] = []
    still: list[float] = []
    for one in told:
        came = one.came_at if one.came_by(at) else None
        seconds = ((came or at) - one.made_at).total_seconds()
        place = odds.place_of(max(0.0, seconds), doubt.doubted_s(one.grid_s))
        (ended if came else still).append(place)
    return ended, still


@dataclass(frozen=True, slots=True)
class _End:
    is_scrapped: bool
    at: datetime | None
    released_at: datetime


def _ends(serials: Iterable[str]) -> Mapping[str, _End]:
    rows = Instrument.objects.filter(serial__in=list(serials)).values_list(
        "serial", "state", "closed_at", "released_at"
    )
    return {
        serial: _End(state == InstrumentState.SCRAPPED, closed, released)
        for serial, state, closed, released in rows
    }


def _of(
    made: datetime, told: Mapping[str, Any], ends: Mapping[str, _End]
) -> Iterator[Foretold]:
    own: dict[str, list[_End]] = defaultdict(list)
    for one in told["instruments"]:
        end = ends.get(one["name"])
        if end and not end.is_scrapped:
            own[one["order"]].append(end)
            yield _foretold("instruments", one, made, told, end.at)
    for one in told["orders"]:
        if some := own.get(one["name"]):
            moments = [end.at for end in some if end.at]
            came = max(moments) if len(moments) == len(some) else None
            is_new = made - max(end.released_at for end in some) <= NEW
            yield _foretold("orders", one, made, told, came, is_new)


def _foretold(
    sort: Sort,
    one: Mapping[str, Any],
    made: datetime,
    told: Mapping[str, Any],
    came: datetime | None,
    is_new: bool = False,
) -> Foretold:
    grid = tuple(one["grid_s"])
    # What was kept before days were doubted says nothing of it.
    doubt = odds.Doubt(*told.get("doubted", {}).get(sort, ()))
    doubted = doubt.doubted_s(grid)
    said = tuple(odds.moment_at(place, doubted) for place in told["said"][sort])
    return Foretold(sort, one["name"], made, grid, said, came, is_new)
