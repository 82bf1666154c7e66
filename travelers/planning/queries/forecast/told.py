"""What does a forecast say, in a form that can be kept?"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, astuple, dataclass
from datetime import datetime, timedelta
from typing import Any

from travelers.formulas import forecast as fc
from travelers.formulas.odds import GRID
from travelers.orders.rules import StepState
from travelers.planning.queries.forecast.line import FloorNow
from travelers.planning.queries.forecast.reasons import Reason, reasons
from travelers.planning.queries.forecast.record import SAID, SORTS, Learned, Lessons
from travelers.planning.queries.forecast.steps import beside
from travelers.shop.models import Station

# Load is told for so many weeks; later ones are too far to act on.
WEEKS = 13
MONTH_S = 30.4375 * 86_400
# What more or less would bring is told over a quarter of a year.
BY_S = 3 * MONTH_S
UNTAUGHT = Lessons()


@dataclass(frozen=True, slots=True)
class Told:
    """A station, now and in the futures.

    Hours of places by week; ages and waits in seconds; ``beside_s`` is what was waited
    in the last half year though a place was free, of ``waited_s`` in all.
    """

    code: str
    name: str
    places: int
    is_attended: bool
    limits_share: float
    way_wait_s: float
    wait_s: float
    age_s: float
    busy_h: tuple[float, ...]
    open_h: tuple[float, ...]
    queue: tuple[float, ...]
    waits_now: int
    oldest_s: float
    beside_s: float
    waited_s: float


@dataclass(frozen=True, slots=True)
class Promise:
    """By when something is finished in 50, 80 and 95 of 100 cases.

    These days and the share that is late are corrected by what came of earlier ones;
    ``grid_s`` are the quantiles of the futures themselves, at the shares of `GRID`.
    """

    name: str
    order: str
    due_s: float
    by_s: tuple[float, ...]
    late_share: float
    reason: Reason | None
    grid_s: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Of:
    """What is promised: an instrument or an order."""

    name: str
    order: str
    due_s: float
    reason: Reason | None


@dataclass(frozen=True, slots=True)
class Gain:
    """What one change at a station brings: a mean, and what holds it 95 of 100 times.

    ``sooner_s`` by how much an instrument is finished sooner; ``more`` instruments a
    month.
    """

    station: str
    change: str
    sooner_s: tuple[float, float, float]
    more: tuple[float, float, float]
    futures: int


def told(
    *, floor: FloorNow, futures: fc.Futures, lessons: Lessons = UNTAUGHT
) -> dict[str, Any]:
    """Say all that a page shows of a forecast; what it gives can be kept as JSON.

    ``said`` are the places in their futures of the days that are said, and ``doubted``
    what was put into these before, by which it is learned later what came of them.
    """
    why = reasons(floor=floor, futures=futures)
    grids = futures.quantiles_s(GRID)
    due = {one.name: one.due_s for one in floor.line.instruments}
    instruments = [
        _promise(
            lessons.instruments,
            Of(one.serial, one.order, due[one.serial], why.get(one.serial)),
            grids[one.serial],
        )
        for one in floor.built
    ]
    return {
        "stations": [asdict(one) for one in _stations(floor, futures)],
        "instruments": [asdict(one) for one in instruments],
        "orders": [asdict(one) for one in _orders(futures, instruments, lessons)],
        "said": {sort: _places(getattr(lessons, sort)) for sort in SORTS},
        "doubted": {sort: astuple(getattr(lessons, sort).doubt) for sort in SORTS},
        "learned_of": {sort: getattr(lessons, sort).of for sort in SORTS},
        "mean_s": float(futures.finishes_s.mean()) if instruments else 0.0,
        "gains": None,
        "parts": len(floor.line.jobs),
    }


def _stations(floor: FloorNow, futures: fc.Futures) -> list[Told]:
    loads = {one.name: one for one in futures.stations()} if futures.count else {}
    waits = _now(floor)
    return [
        _told(one, loads[one.code], waits.get(one.pk, []), floor)
        for one in floor.stations
    ]


def _told(
    one: Station, load: fc.StationLoad, waits: Sequence[datetime], floor: FloorNow
) -> Told:
    seen = floor.seen.waits[one.pk]
    return Told(
        code=one.code,
        name=one.name,
        places=one.places,
        is_attended=one.attended,
        limits_share=load.limits_share,
        way_wait_s=load.way_wait_s,
        wait_s=load.wait_s,
        age_s=load.queue_age_s,
        busy_h=load.busy_h_by_week[:WEEKS],
        open_h=load.open_h_by_week[:WEEKS],
        queue=load.queue_by_week[:WEEKS],
        waits_now=len(waits),
        oldest_s=max((floor.at - since).total_seconds() for since in waits)
        if waits
        else 0.0,
        beside_s=sum(seen.free),
        waited_s=seen.whole_s,
    )


def _now(floor: FloorNow) -> dict[int, list[datetime]]:
    """Say for each station since when each part that could begin there waits."""
    found: dict[int, list[datetime]] = defaultdict(list)
    for one in floor.built:
        for chunk in one.chunks:
            if chunk.is_done:
                continue
            row = chunk.current
            rests = row.line.shortest_between if row.repeat > 1 else None
            if (
                row.state is StepState.READY
                and row.ready_at
                and row.part_id not in one.held
                and (since := row.ready_at + (rests or timedelta(0))) <= floor.at
            ):
                found[row.station.pk].append(since)
    return found


def _orders(
    futures: fc.Futures, instruments: Iterable[Promise], lessons: Lessons
) -> list[Promise]:
    """Say when the last instrument of each order is finished, and what it waits for."""
    found = []
    for order, grid in futures.order_quantiles_s(GRID).items():
        own = [one for one in instruments if one.order == order]
        last = max(own, key=lambda one: one.by_s[1])
        of = Of(order, order, last.due_s, last.reason)
        found.append(_promise(lessons.orders, of, grid))
    return found


def _promise(learned: Learned, of: Of, grid_s: tuple[float, ...]) -> Promise:
    return Promise(
        of.name,
        of.order,
        of.due_s,
        learned.days_s(grid_s, fc.ODDS),
        learned.late_share(grid_s, of.due_s),
        of.reason,
        tuple(round(one) for one in grid_s),
    )


def _places(learned: Learned) -> list[float]:
    return [learned.correction.place_for(share) for share in SAID]


def most_limiting(*, results: Mapping[str, Any], count: int) -> list[str]:
    """Name the stations that limit most futures, the most limiting first."""
    rows = [one for one in results["stations"] if one["way_wait_s"] > 0]
    rows.sort(key=lambda one: (-one["limits_share"], -one["way_wait_s"], one["code"]))
    return [one["code"] for one in rows[:count]]


def gains(
    *, floor: FloorNow, stations: Iterable[str], seed: int, futures: int
) -> list[dict[str, Any]]:
    """Say what an hour, a place and less rework would bring at some stations.

    All are lived through with the luck of the floor as it stands.
    """
    here = fc.simulate(floor.line, seed, futures)
    found = []
    for code in stations:
        for change, line in _changed(floor.line, code).items():
            there = fc.simulate(line, seed, futures)
            found.append(asdict(_gain(code, change, here, there)))
    return found


def _changed(line: fc.Line, code: str) -> Mapping[str, fc.Line]:
    longer = fc.with_longer_days(fc.with_longer_days(line, code), beside(code))
    return {
        "HOUR": longer,
        "PLACE": fc.with_more_places(line, code),
        "REWORK": fc.with_less_rework(line, code, 0.9),
    }


def _gain(code: str, change: str, here: fc.Futures, there: fc.Futures) -> Gain:
    both = fc.compared(here, there, by_s=BY_S)
    sooner, more = both.finish_s, both.by
    months = BY_S / MONTH_S
    return Gain(
        code,
        change,
        (-sooner.mean, -sooner.high, -sooner.low),
        (more.mean / months, more.low / months, more.high / months),
        here.count,
    )
