"""Which chart suits a characteristic, and what does it show?"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from travelers.floor.queries import Measured
from travelers.formulas.control import (
    Chart,
    Signal,
    counts,
    ewma,
    individuals,
    mean_deviation,
    mean_range,
    proportion,
)
from travelers.kit.drawing.control import Limits
from travelers.quality.queries.charts.series import Base, Series
from travelers.quality.rules import RULES, RuleSet
from travelers.routes.rules import CheckKind

if TYPE_CHECKING:
    from travelers.quality.queries.charts.pages import Asked

# Of so many places a range tells less than a standard deviation (ISO 7870-2, from
# memory: ranges for groups of up to ten).
MOST_FOR_RANGE = 10
# How much the newest value weighs, and how wide the limits are: usual choices of the
# NIST/SEMATECH e-Handbook, 6.3.2.4.
WEIGHT, WIDTH = 0.2, 3.0
WEEK = timedelta(days=7)
FEWEST = 2


@dataclass(frozen=True, slots=True)
class Drawn:
    """A chart with the part that each point is of; of a week, the last of it."""

    name: str
    chart: Chart
    parts: tuple[Measured, ...]
    signals: tuple[Signal, ...]
    is_based: bool
    left_out: int
    has_tolerance: bool

    @property
    def varies(self) -> bool:
        return _varies(self.chart)

    def limits(self, tolerance: tuple[float | None, float | None] | None) -> Limits:
        """Give the chart's lines; where they differ by point, those of the last."""
        least, most = tolerance or (None, None)
        return _limits(self.chart, least, most)

    def spread_limits(self) -> Limits | None:
        return _limits(self.chart.spread) if self.chart.spread else None


def draw(
    *,
    series: Series,
    parts: Sequence[Measured],
    base: Base | None,
    asked: "Asked",
    zone: ZoneInfo,
) -> Drawn | None:
    """Choose the chart by what is measured; None for fewer than two points.

    A measured value is charted one by one; of several places, by mean and range, or by
    mean and standard deviation where they are many. Counts are charted as counts, and
    what is judged by its share in each week.
    """
    if series.kind is CheckKind.JUDGED:
        return _judged(parts, base, asked.rules, zone)
    whole = [one for one in parts if len(one.values) == series.places]
    if len(whole) < FEWEST:
        return None
    held = _held(whole, base, zone)
    chart, name = _chart(series, whole, held, asked)
    return Drawn(
        name,
        chart,
        tuple(whole),
        _signals(chart, asked.rules),
        held is not None,
        len(parts) - len(whole),
        series.kind is CheckKind.MEASURED and series.places == 1,
    )


def _chart(
    series: Series, whole: Sequence[Measured], held: slice | None, asked: "Asked"
) -> tuple[Chart, str]:
    groups = [one.values for one in whole]
    if series.kind is CheckKind.COUNTED:
        return counts([round(sum(group)) for group in groups], base=held), "counts"
    if series.places > 1:
        return _grouped(groups, held, within=asked.within)
    values = [group[0] for group in groups]
    chart = individuals(values, base=held)
    if asked.smoothed and isinstance(chart.sigma, float) and chart.sigma > 0:
        center = chart.center if isinstance(chart.center, float) else chart.center[0]
        drawn = ewma(values, center, chart.sigma, weight=WEIGHT, width=WIDTH)
        return drawn, "ewma"
    return chart, "individuals"


def _grouped(
    groups: Sequence[Sequence[float]], held: slice | None, *, within: bool
) -> tuple[Chart, str]:
    """Chart the means of parts of several places, and how the places of each differ.

    Guitars differ more from each other than the frets of one: limits made of what
    differs ``within`` a part would call every guitar a signal. So the means are judged
    by the step from one to the next, unless the other is asked for.
    """
    many = len(groups[0]) > MOST_FOR_RANGE
    chart = mean_deviation(groups, base=held) if many else mean_range(groups, base=held)
    if within:
        return chart, "mean_deviation" if many else "mean_range"
    means = individuals(chart.points, base=held)
    return replace(means, spread=chart.spread), "means"


def _judged(
    parts: Sequence[Measured], base: Base | None, rules: RuleSet, zone: ZoneInfo
) -> Drawn | None:
    """Chart the share that was judged not to be right, week by week."""
    weeks: dict[datetime, list[Measured]] = {}
    for one in parts:
        day = one.at.astimezone(zone)
        monday = day.date() - timedelta(days=day.weekday())
        key = datetime(monday.year, monday.month, monday.day, tzinfo=UTC)
        weeks.setdefault(key, []).append(one)
    if len(weeks) < FEWEST:
        return None
    rows = [weeks[week] for week in sorted(weeks)]
    last = [week[-1] for week in rows]
    held = _held(last, base, zone)
    chart = proportion(
        [sum(min(one.values) == 0 for one in week) for week in rows],
        [len(week) for week in rows],
        base=held,
    )
    return Drawn(
        "proportion", chart, tuple(last), _signals(chart, rules), bool(held), 0, False
    )


def _held(parts: Sequence[Measured], base: Base | None, zone: ZoneInfo) -> slice | None:
    """Say which points the limits are made of; too few of them count for none."""
    if base is None:
        return None
    inside = [n for n, one in enumerate(parts) if base.holds(one.at, zone)]
    if len(inside) < FEWEST:
        return None
    return slice(inside[0], inside[-1] + 1)


def _signals(chart: Chart, rules: RuleSet) -> tuple[Signal, ...]:
    return tuple(chart.signals(RULES[rules])) if _varies(chart) else ()


def _varies(chart: Chart) -> bool:
    sigma = chart.point_sigma
    return min(sigma) > 0 if isinstance(sigma, tuple) else sigma > 0


def _limits(
    chart: Chart, least: float | None = None, most: float | None = None
) -> Limits:
    center, lower, upper = (
        line[-1] if isinstance(line, tuple) else line
        for line in (chart.center, chart.lower, chart.upper)
    )
    return Limits(center, lower, upper, least, most)
