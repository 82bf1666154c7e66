"""What do the pages say of the last forecast?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from importlib.util import find_spec
from typing import Any
from zoneinfo import ZoneInfo

from travelers.kit.refusals import Refusal
from travelers.orders.queries import open_orders
from travelers.planning.models import Forecast
from travelers.planning.queries.forecast.reasons import Because
from travelers.planning.rules import reasons
from travelers.shop.models import Station
from travelers.shop.rules import Role

FORECASTERS = (Role.PLANNER, Role.LEAD)
DAY_S = 86_400
# A first answer is of so many futures; then it is refined to these.
FIRST, WHOLE = 50, 1000
# A forecast is of today's floor for so long; then the page makes it afresh.
FRESH = timedelta(minutes=15)
# Below this share of futures no station is said to limit.
NAMED = 0.2


@dataclass(frozen=True, slots=True)
class Known:
    """How sure a forecast is, and of when it is."""

    made_at: datetime
    seed: int
    futures: int
    parts: int
    is_fresh: bool
    has_gains: bool

    @property
    def is_done(self) -> bool:
        """Whether nothing is to be lived through for now."""
        return self.is_fresh and self.futures >= WHOLE and self.has_gains

    @property
    def next_futures(self) -> int:
        """How many futures are lived through next: few first, then all."""
        return WHOLE if self.is_fresh else FIRST

    @property
    def asks_gains(self) -> bool:
        return self.is_fresh and self.futures >= WHOLE


@dataclass(frozen=True, slots=True)
class GainRow:
    """What one change at a station brings: days sooner, and instruments a month."""

    code: str
    station: str
    change: str
    days: tuple[float, float, float]
    more: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class StationRow:
    """A station's figures as the page shows them; hours, days and shares of 100."""

    code: str
    name: str
    places: int
    is_attended: bool
    limits_pct: float
    way_wait_days: float
    load_pct: float
    busy_h: tuple[float, ...]
    open_h: tuple[float, ...]
    queue: tuple[float, ...]
    waits_now: int
    oldest: timedelta
    age: timedelta
    wait: timedelta
    beside_pct: float | None

    @property
    def weeks(self) -> tuple[tuple[float, float, float], ...]:
        return tuple(zip(self.busy_h, self.open_h, self.queue, strict=True))


@dataclass(frozen=True, slots=True)
class LimitsPage:
    """Which station limits output, how sure that is, and what more would bring."""

    known: Known | None
    stations: tuple[StationRow, ...]
    gains: tuple[GainRow, ...]
    beside_pct: float | None
    days: tuple[date, ...]
    fault: Refusal | None

    @property
    def asks_on(self) -> bool:
        """Whether the page goes on asking by itself."""
        return not self.fault and not (self.known and self.known.is_done)

    @property
    def limit(self) -> StationRow | None:
        """The station that limits most futures, where any does in enough of them."""
        first = self.stations[0] if self.stations else None
        return first if first and first.limits_pct >= 100 * NAMED else None

    @property
    def one_more_place(self) -> GainRow | None:
        """What one more place would bring at the station that limits."""
        return next(
            (
                one
                for one in self.gains
                if self.limit and (one.code, one.change) == (self.limit.code, "PLACE")
            ),
            None,
        )


@dataclass(frozen=True, slots=True)
class PromiseRow:
    """By when an order or an instrument is finished, and why not sooner."""

    name: str
    order: str
    due_on: date
    by: tuple[date, date, date]
    late_pct: float
    because: Because | None
    branch: str
    station: str
    operation: str
    until: datetime | None
    before: int
    mate: str
    spent: tuple[tuple[str, float], ...]

    @property
    def is_late(self) -> bool:
        """Whether more futures are late than not."""
        return self.late_pct > 50


@dataclass(frozen=True, slots=True)
class PromisesPage:
    """All open orders, the latest first, and the instruments of the one asked for.

    The days are corrected by what came of ``learned_of`` instruments.
    """

    known: Known | None
    orders: tuple[PromiseRow, ...]
    instruments: tuple[PromiseRow, ...]
    order: str
    learned_of: int = 0


def not_compiled() -> Refusal | None:
    """Say why no future can be lived through here, if so."""
    return None if find_spec("numba") else reasons.NOT_COMPILED


def why_not() -> Refusal | None:
    """Say why nothing can be forecast, if so."""
    if fault := not_compiled():
        return fault
    return None if open_orders().exists() else reasons.NOTHING_OPEN


def last_forecast() -> Forecast | None:
    return Forecast.objects.order_by("-made_at").first()


def limits_page(*, at: datetime) -> LimitsPage:
    last, fault = last_forecast(), why_not()
    if last is None:
        return LimitsPage(None, (), (), None, (), fault)
    results = last.results
    rows = [_station(one) for one in results["stations"]]
    rows.sort(key=lambda one: (-one.limits_pct, -one.way_wait_days, one.code))
    names = dict(Station.objects.values_list("code", "name"))
    beside = sum(one["beside_s"] for one in results["stations"])
    waited = sum(one["waited_s"] for one in results["stations"])
    return LimitsPage(
        known_of(last, at),
        tuple(rows),
        tuple(_gain(one, names) for one in results["gains"] or ()),
        100 * beside / waited if waited else None,
        tuple(
            (last.made_at + timedelta(weeks=n)).date()
            for n in range(len(rows[0].busy_h) if rows else 0)
        ),
        fault,
    )


def promises_page(*, order: str, at: datetime, zone: ZoneInfo) -> PromisesPage:
    last = last_forecast()
    if last is None:
        return PromisesPage(None, (), (), order)
    rows = [_promise(one, last.made_at, zone) for one in last.results["orders"]]
    rows.sort(key=lambda one: (-one.late_pct, one.due_on, one.name))
    own = [
        _promise(one, last.made_at, zone)
        for one in last.results["instruments"]
        if one["order"] == order
    ]
    learned = last.results.get("learned_of", {}).get("instruments", 0)
    return PromisesPage(known_of(last, at), tuple(rows), tuple(own), order, learned)


def known_of(last: Forecast, at: datetime) -> Known:
    return Known(
        last.made_at,
        last.seed,
        last.futures,
        last.results["parts"],
        at - last.made_at < FRESH,
        last.results["gains"] is not None,
    )


def _station(told: Mapping[str, Any]) -> StationRow:
    open_h, busy_h = tuple(told["open_h"]), tuple(told["busy_h"])
    there = sum(open_h[:4])
    return StationRow(
        told["code"],
        told["name"],
        told["places"],
        told["is_attended"],
        100 * told["limits_share"],
        told["way_wait_s"] / DAY_S,
        100 * sum(busy_h[:4]) / there if there else 0.0,
        busy_h,
        open_h,
        tuple(told["queue"]),
        told["waits_now"],
        timedelta(seconds=told["oldest_s"]),
        timedelta(seconds=told["age_s"]),
        timedelta(seconds=told["wait_s"]),
        100 * told["beside_s"] / told["waited_s"] if told["waited_s"] else None,
    )


def _gain(told: Mapping[str, Any], names: Mapping[str, str]) -> GainRow:
    days = [one / DAY_S for one in told["sooner_s"]]
    more = told["more"]
    return GainRow(
        told["station"],
        names.get(told["station"], told["station"]),
        told["change"],
        (days[0], days[1], days[2]),
        (more[0], more[1], more[2]),
    )


def _promise(told: Mapping[str, Any], made: datetime, zone: ZoneInfo) -> PromiseRow:
    def day(seconds: float) -> date:
        return (made + timedelta(seconds=seconds)).astimezone(zone).date()

    half, usual, sure = (day(one) for one in told["by_s"])
    why = told["reason"] or {}
    until = why.get("until")
    return PromiseRow(
        told["name"],
        told["order"],
        day(told["due_s"] - 1),
        (half, usual, sure),
        100 * told["late_share"],
        Because(why["because"]) if why else None,
        why.get("branch", ""),
        why.get("station", ""),
        why.get("operation", ""),
        datetime.fromisoformat(until) if until else None,
        why.get("before", 0),
        why.get("mate", ""),
        tuple((sort, why.get(f"{sort}_s", 0.0) / DAY_S) for sort in SORTS),
    )


SORTS = ("work", "queue", "closed", "lies")
