"""Did what was forecast come true?"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import fmean, median
from zoneinfo import ZoneInfo

from travelers.formulas.drying import (
    DayRange,
    RatePrior,
    calibration,
    days_below,
    fit_many,
)
from travelers.formulas.shares import Share
from travelers.kit.drawing.promises import Promise
from travelers.lumber import queries as lumber
from travelers.lumber.queries import Climate, Session
from travelers.lumber.rules import Air
from travelers.planning.queries.drying import (
    AIR_OF,
    DAY,
    PAST,
    Lot,
    Sort,
    days_of,
    dried,
    learned,
    readings_of,
)

# How sure the intervals are that are looked at; 80 is what the pages say.
CONFIDENCES_PCT = (20, 50, 80, 90, 95)
SAID_PCT = 80
# A share of fewer forecasts says little, and is not spoken of.
ENOUGH = 30
# How far ahead the day was said to be, in days; what is farther comes last.
AHEAD_DAYS = (7, 14, 28)


@dataclass(frozen=True, slots=True)
class Held:
    """How many intervals of one confidence held what came true."""

    confidence_pct: int
    share: Share


@dataclass(frozen=True, slots=True)
class Ahead:
    """Forecasts that said a day so far ahead: how wide, how wrong, how many held."""

    until_days: int | None
    count: int
    held: int
    error_days: float
    width_days: float


@dataclass(frozen=True, slots=True)
class Record:
    """What became of the forecasts for sets that dried in a room, or in all."""

    name: str
    sets: int
    count: int
    held: tuple[Held, ...]
    # So many were told that this air would never dry them, and it did.
    denied: int

    @property
    def is_enough(self) -> bool:
        return self.count >= ENOUGH

    @property
    def points(self) -> list[Promise]:
        """Give what the drawing shows, in percent."""
        return [
            Promise(
                one.confidence_pct,
                one.share.share * 100,
                one.share.least * 100,
                one.share.most * 100,
            )
            for one in self.held
        ]

    @property
    def said(self) -> Share:
        """Give the share of the confidence that the pages say."""
        return next(one.share for one in self.held if one.confidence_pct == SAID_PCT)


@dataclass(frozen=True, slots=True)
class CalibrationPage:
    whole: Record
    rooms: tuple[Record, ...]
    ahead: tuple[Ahead, ...]
    enough: int = ENOUGH


@dataclass(frozen=True, slots=True)
class Case:
    """One forecast of the past: what was known then, and the day that came true."""

    lot: Lot
    days: list[float]
    moistures: list[float]
    equilibrium_pct: float
    prior: RatePrior | None
    came: float


@dataclass(frozen=True, slots=True)
class Judged:
    """Past forecasts of a room with their intervals, by how sure they are."""

    room: str
    cases: list[Case]
    ranges: Mapping[int, list[DayRange | None]]


def calibration_page(*, at: datetime, zone: ZoneInfo) -> CalibrationPage:
    """Hold each forecast that was made for sets that dried against what came true.

    After each of its past readings a set is forecast anew, from what was known then:
    its own readings, the air of the two weeks before, and the sets that were out by
    then. The day that came true is where the straight line from the last reading above
    the limit to the first below it crosses the limit.
    """
    judged = [
        judge(
            room=climate.name,
            limit_pct=float(climate.limit_pct),
            cases=list(cases_of(climate=climate, at=at, zone=zone)),
        )
        for climate in lumber.climates(at=at)
    ]
    return CalibrationPage(
        record_of(name="", judged=judged),
        tuple(record_of(name=one.room, judged=[one]) for one in judged),
        tuple(_ahead(judged)),
    )


def crossing(
    days: Sequence[float], pct: Sequence[float], limit_pct: float
) -> tuple[int, float] | None:
    """Find the first reading below the limit, and the day of the crossing before it.

    None where no reading is below, or none was above before.
    """
    first = next((n for n, one in enumerate(pct) if one < limit_pct), 0)
    if first == 0:
        return None
    share = (pct[first - 1] - limit_pct) / (pct[first - 1] - pct[first])
    return first, days[first - 1] + share * (days[first] - days[first - 1])


def judge(*, room: str, limit_pct: float, cases: list[Case]) -> Judged:
    """Forecast each case anew, for all confidences."""
    fits = fit_many(
        [(case.days, case.moistures) for case in cases],
        [case.equilibrium_pct for case in cases],
        priors=[case.prior for case in cases],
    )
    limits = [limit_pct] * len(cases)
    ranges = {sure: days_below(fits, limits, sure / 100) for sure in CONFIDENCES_PCT}
    return Judged(room, cases, ranges)


def cases_of(*, climate: Climate, at: datetime, zone: ZoneInfo) -> Iterator[Case]:
    """Look back at each reading of the sets that dried in a room."""
    lots = dried(room_code=climate.code, until=at)
    read = readings_of(lots)
    airs = _Airs(climate, at, zone)
    past = _Past(lots, read, airs)
    limit = float(climate.limit_pct)
    for lot in lots:
        days, moistures = days_of(lot, read.get(lot.step_id, ()))
        found = crossing(days, moistures, limit)
        if found is None:
            continue
        first, came = found
        for known in range(1, first + 1):
            then = lot.since + days[known - 1] * DAY
            equilibrium = airs.equilibrium_pct(then)
            if equilibrium is not None:
                prior = past.known(then).get(lot.sort)
                yield Case(
                    lot, days[:known], moistures[:known], equilibrium, prior, came
                )


class _Airs:
    """A room's air day by day."""

    def __init__(self, climate: Climate, at: datetime, zone: ZoneInfo) -> None:
        rows = lumber.days(room_id=climate.id, since=at - 2 * PAST, zone=zone)
        self._by_day: dict[date, Air] = {row.day: row.air for row in rows}
        self._zone = zone

    def equilibrium_pct(self, at: datetime) -> float | None:
        """Say to what the air of the two weeks before a moment dried."""
        today = at.astimezone(self._zone).date()
        days = (today - timedelta(days=n) for n in range(AIR_OF.days))
        airs = [self._by_day[day] for day in days if day in self._by_day]
        if not airs:
            return None
        warm = fmean(one.temperature_c for one in airs)
        return Air(warm, fmean(one.humidity_pct for one in airs)).equilibrium_pct


class _Past:
    """What was known at a moment of how sets dry here; learned anew each week."""

    def __init__(
        self, lots: Sequence[Lot], read: Mapping[int, list[Session]], airs: _Airs
    ) -> None:
        self._told = [
            (lot, read[lot.step_id], equilibrium)
            for lot in lots
            # One reading says nothing of a rate.
            if lot.until and len(read.get(lot.step_id, ())) > 1
            if (equilibrium := airs.equilibrium_pct(lot.until)) is not None
        ]
        self._by_week: dict[int, dict[Sort, RatePrior]] = {}

    def known(self, at: datetime) -> dict[Sort, RatePrior]:
        week = at.toordinal() // 7
        if week not in self._by_week:
            monday = week * 7
            self._by_week[week] = learned(
                [
                    one
                    for one in self._told
                    if one[0].until and one[0].until.toordinal() < monday
                ]
            )
        return self._by_week[week]


def record_of(*, name: str, judged: Sequence[Judged]) -> Record:
    """Count how many of the forecasts of rooms came true."""
    cases = [case for one in judged for case in one.cases]
    held = []
    for sure in CONFIDENCES_PCT:
        said = [
            (found, case.came)
            for one in judged
            for found, case in zip(one.ranges[sure], one.cases, strict=True)
            if found
        ]
        if said:
            ranges, came = zip(*said, strict=True)
            held.append(Held(sure, calibration(ranges, came)))
    count = held[0].share.of if held else 0
    sets = {case.lot.step_id for case in cases}
    return Record(name, len(sets), count, tuple(held), len(cases) - count)


def _ahead(judged: Sequence[Judged]) -> Iterator[Ahead]:
    """Sort the forecasts by how far ahead their day was said to be."""
    said = [
        (found, case)
        for one in judged
        for found, case in zip(one.ranges[SAID_PCT], one.cases, strict=True)
        if found
    ]
    least = -float("inf")
    for until in (*AHEAD_DAYS, None):
        most = float("inf") if until is None else float(until)
        some = [
            (found, case.came)
            for found, case in said
            if least < found.day - case.days[-1] <= most
        ]
        least = most
        if some:
            yield Ahead(
                until,
                len(some),
                sum(one.earliest <= came <= one.latest for one, came in some),
                median(abs(came - one.day) for one, came in some),
                median(one.latest - one.earliest for one, _ in some),
            )
