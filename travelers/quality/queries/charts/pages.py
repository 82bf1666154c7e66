"""What does QA see of a characteristic: its chart, its signals, its capability?"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean, stdev
from zoneinfo import ZoneInfo

from travelers.floor.queries import Measured
from travelers.formulas.control import Capability, capability
from travelers.kit.drawing.control import Limits, Point
from travelers.quality.queries.charts.answered import (
    SignalRow,
    answers_of,
    signals_of,
)
from travelers.quality.queries.charts.drawn import Drawn, draw
from travelers.quality.queries.charts.series import (
    Base,
    Series,
    bases_of,
    series_of,
    several_series,
)
from travelers.quality.rules import RuleSet
from travelers.routes.rules import CheckKind

# Of fewer values no capability is said.
ENOUGH = 20
FILTERS = ("station", "gauge", "cutter", "species")


@dataclass(frozen=True, slots=True)
class Asked:
    """Which values are shown, by which rules, and as what chart."""

    rules: RuleSet = RuleSet.WESTERN_ELECTRIC
    station: str = ""
    gauge: str = ""
    cutter: str = ""
    species: str = ""
    smoothed: bool = False
    within: bool = False


@dataclass(frozen=True, slots=True)
class GroupRow:
    """The values of one station, gauge, cutter or species beside the others."""

    name: str
    count: int
    mean: float
    spread: float | None
    outside: int


@dataclass(frozen=True, slots=True)
class Groups:
    by: str
    rows: tuple[GroupRow, ...]


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One place of many, such as a string or a fret."""

    place: int
    mean: float
    spread: float | None
    outside: int


@dataclass(frozen=True, slots=True)
class ChartPage:
    series: Series
    asked: Asked
    base: Base | None
    drawn: Drawn | None
    points: tuple[Point, ...]
    limits: Limits | None
    spread_points: tuple[Point, ...]
    spread_limits: Limits | None
    signals: tuple[SignalRow, ...]
    capability: Capability | None
    groups: tuple[Groups, ...]
    places: tuple[PlaceRow, ...]
    choices: Mapping[str, tuple[str, ...]]

    @property
    def spread_beyond(self) -> int:
        return sum(bool(one.rules) for one in self.spread_points)

    @property
    def open_signals(self) -> int:
        return sum(row.answer is None for row in self.signals)


def chart_page(
    *, number: int, asked: Asked, zone: ZoneInfo, href: str = ""
) -> ChartPage:
    """Chart a characteristic; ``href`` is the way to an instrument, with {serial}."""
    series = series_of(number=number)
    base = bases_of(several=[series]).get(series.id)
    parts = [one for one in series.parts if _fits(one, asked)]
    drawn = draw(series=series, parts=parts, base=base, asked=asked, zone=zone)
    signals = signals_of(series=series, drawn=drawn, answers=answers_of(ids=series.ids))
    marked = {place: row.numbers for place, row in signals}
    tolerance = (series.least, series.most) if drawn and drawn.has_tolerance else None
    return ChartPage(
        series,
        asked,
        base,
        drawn,
        _points(drawn, marked, href, zone),
        drawn.limits(tolerance) if drawn else None,
        _spread_points(drawn, zone),
        drawn.spread_limits() if drawn else None,
        tuple(row for _, row in reversed(signals)),
        _capability(series, drawn),
        tuple(_groups(series, parts)),
        tuple(_places(series, parts)),
        {
            name: tuple(
                sorted({str(getattr(one, name)) for one in series.parts} - {""})
            )
            for name in FILTERS
        },
    )


def open_signals(
    *, numbers: Collection[int], since: datetime, zone: ZoneInfo
) -> dict[int, int]:
    """Count the signals since a moment that nobody answered, by characteristic.

    All are drawn as their pages draw them when nothing else is asked for.
    """
    several = several_series(numbers=numbers)
    bases = bases_of(several=several)
    answers = answers_of(ids=[number for one in several for number in one.ids])
    found: dict[int, int] = {}
    for one in several:
        drawn = draw(
            series=one,
            parts=one.parts,
            base=bases.get(one.id),
            asked=Asked(),
            zone=zone,
        )
        rows = signals_of(series=one, drawn=drawn, answers=answers)
        left = sum(row.answer is None and row.at >= since for _, row in rows)
        found |= dict.fromkeys(one.ids, left)
    return found


def _fits(one: Measured, asked: Asked) -> bool:
    return all(getattr(asked, name) in ("", getattr(one, name)) for name in FILTERS)


def _points(
    drawn: Drawn | None, marked: Mapping[int, str], href: str, zone: ZoneInfo
) -> tuple[Point, ...]:
    if drawn is None:
        return ()
    return tuple(
        Point(
            value,
            f"{one.serial}, {one.at.astimezone(zone):%Y-%m-%d}, {value:.4g}",
            href.format(serial=one.serial) if one.serial and href else "",
            marked.get(n, ""),
        )
        for n, (value, one) in enumerate(
            zip(drawn.chart.points, drawn.parts, strict=True)
        )
    )


def _spread_points(drawn: Drawn | None, zone: ZoneInfo) -> tuple[Point, ...]:
    if drawn is None or drawn.chart.spread is None:
        return ()
    values = drawn.chart.spread.points
    # A moving range belongs to the second of its two points.
    parts = drawn.parts[len(drawn.parts) - len(values) :]
    beyond = set(drawn.chart.spread.beyond)
    return tuple(
        Point(
            value,
            f"{one.serial}, {one.at.astimezone(zone):%Y-%m-%d}, {value:.4g}",
            "",
            "1" if n in beyond else "",
        )
        for n, (value, one) in enumerate(zip(values, parts, strict=True))
    )


def _capability(series: Series, drawn: Drawn | None) -> Capability | None:
    if drawn is None or series.kind is not CheckKind.MEASURED:
        return None
    if series.least is None and series.most is None:
        return None
    values = [one.values for one in drawn.parts]
    if len(values) < ENOUGH or not drawn.varies:
        return None
    single = [value for group in values for value in group]
    return capability(
        values if series.places > 1 else single, series.least, series.most
    )


def _groups(series: Series, parts: Sequence[Measured]) -> list[Groups]:
    found = []
    for name in FILTERS:
        groups: dict[str, list[float]] = {}
        for one in parts:
            groups.setdefault(str(getattr(one, name)), []).extend(one.values)
        if len(groups) > 1:
            rows = (_group(series, *each) for each in sorted(groups.items()))
            found.append(Groups(name, tuple(rows)))
    return found


def _group(series: Series, name: str, values: Sequence[float]) -> GroupRow:
    return GroupRow(
        name, len(values), fmean(values), _spread(values), _outside(series, values)
    )


def _places(series: Series, parts: Sequence[Measured]) -> list[PlaceRow]:
    if series.places == 1:
        return []
    whole = [one.values for one in parts if len(one.values) == series.places]
    return [
        PlaceRow(n, fmean(values), _spread(values), _outside(series, values))
        for n, values in enumerate(zip(*whole, strict=True), start=1)
    ]


def _spread(values: Sequence[float]) -> float | None:
    return stdev(values) if len(values) > 1 else None


def _outside(series: Series, values: Sequence[float]) -> int:
    low = -float("inf") if series.least is None else series.least
    high = float("inf") if series.most is None else series.most
    return sum(not low <= value <= high for value in values)
