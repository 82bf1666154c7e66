"""How do steps, spreads and hours lie in memory?"""

from dataclasses import dataclass, field, replace
from itertools import accumulate, pairwise
from typing import Any

from travelers.formulas.forecast.hours import DAY_S, WEEK_S, Hours
from travelers.formulas.forecast.line import NO_TIME, Step
from travelers.formulas.forecast.spreads import Spread, cells

NEVER, FIXED = -2, -1
"""Tables that there are not: of a moment not asked for, of a time without spread."""


@dataclass(slots=True)
class Shapes:
    """The shapes of spreads, each laid down once."""

    tables: list[tuple[int, int, int]] = field(default_factory=list)
    ends: list[tuple[float, float]] = field(default_factory=list)
    known: dict[tuple[Any, ...], int] = field(default_factory=dict)

    def table_of(self, spread: Spread) -> tuple[int, float]:
        """Give the number of a spread's table, and its scale in seconds."""
        if not spread.cv and not spread.values:
            return FIXED, spread.scale_s
        shape = (spread.cv, spread.values, spread.is_even)
        if shape not in self.known:
            inner, tails = cells(spread)
            self.known[shape] = len(self.tables)
            self.tables.append((len(self.ends), len(inner), len(tails)))
            self.ends += inner + tails
        return self.known[shape], spread.scale_s

    def share_below(self, spread: Spread, seconds: float) -> float:
        """Say which share of a spread's times lies below so many seconds."""
        table, scale = self.table_of(spread)
        if table == FIXED or scale == 0:
            return 0.0
        first, count, tails = self.tables[table]
        inner = self.ends[first : first + count - (1 if tails else 0)]
        outer = self.ends[first + count : first + count + tails]
        asked = seconds / scale
        below = sum(_part(ends, asked) for ends in inner) / count
        if tails:
            below += sum(_part(ends, asked) for ends in outer) / tails / count
        return float(min(below, 1 - 1e-12))


def _part(ends: tuple[float, float], asked: float) -> float:
    low, high = ends
    if asked >= high:
        return 1.0
    return (asked - low) / (high - low) if asked > low else 0.0


@dataclass(frozen=True, slots=True)
class Route:
    """Steps laid down: where they begin, how many, and where each given one begins."""

    first: int
    starts: tuple[int, ...]
    count: int


@dataclass(slots=True)
class Routes:
    """The routes of all jobs, each laid down once."""

    stations: dict[str, int]
    shapes: Shapes = field(default_factory=Shapes)
    rows: list[tuple[Any, ...]] = field(default_factory=list)
    known: dict[tuple[Step, ...], Route] = field(default_factory=dict)
    seen: dict[int, Route] = field(default_factory=dict)

    def route_of(self, steps: tuple[Step, ...]) -> Route:
        """Give where a job's steps lie; ``steps`` must live as long as this does."""
        found = self.seen.get(id(steps))
        if found is None:
            found = self.known.get(steps)
            if found is None:
                found = self.known[steps] = self._laid(steps)
            self.seen[id(steps)] = found
        return found

    def _laid(self, steps: tuple[Step, ...]) -> Route:
        first = len(self.rows)
        starts = [0, *accumulate(step.times for step in steps)]
        single = [one for step in steps for one in coats(step)]
        means = [one.work.mean_s + one.dwell.mean_s for one in single]
        left = list(accumulate(reversed(means)))[::-1]
        for one, rest in zip(single, left, strict=True):
            self.rows.append(self._row(one, starts[one.back_to], rest))
        return Route(first, tuple(starts[:-1]), starts[-1])

    def _row(self, step: Step, back: int, left: float) -> tuple[Any, ...]:
        if step.station is not None and step.station not in self.stations:
            raise ValueError(f"station must be one of the line, got {step.station!r}")
        if step.station is None and step.work.mean_s > 0:
            raise ValueError("work must be at a station, got some at none")
        work_table, work = self.shapes.table_of(step.work)
        dwell_table, dwell = self.shapes.table_of(step.dwell)
        before_table, before = NEVER, 0.0
        if step.not_before is not None:
            before_table, before = self.shapes.table_of(step.not_before)
        number = -1 if step.station is None else self.stations[step.station]
        fails = step.scrap + step.rework
        tables = (number, work_table, dwell_table, before_table, back)
        return (*tables, work, dwell, before, step.scrap, fails, left)


def coats(step: Step) -> list[Step]:
    """Give a step once for each of its coats, with the gaps between as dwells."""
    if step.times == 1:
        return [step]
    coat = replace(step, dwell=step.gap, not_before=None, scrap=0.0, rework=0.0)
    coat = replace(coat, times=1, gap=NO_TIME)
    first = replace(coat, not_before=step.not_before)
    last = replace(step, not_before=None, times=1, gap=NO_TIME)
    return [first, *[coat] * (step.times - 2), last]


@dataclass(slots=True)
class Spans:
    """The open times of all stations, each laid down once."""

    spans: list[tuple[float, float]] = field(default_factory=list)
    days: list[int] = field(default_factory=list)
    known: dict[Hours, tuple[Any, ...]] = field(default_factory=dict)

    def of(self, hours: Hours) -> tuple[Any, ...]:
        """Give: always, first day, past the last span, first repeated, end, repeat."""
        if hours not in self.known:
            self.known[hours] = self._laid(hours)
        return self.known[hours]

    def _laid(self, hours: Hours) -> tuple[Any, ...]:
        first, day = len(self.spans), len(self.days)
        turn = hours.ends_s - hours.repeats_s
        cuts = {turn, *range(0, hours.ends_s, WEEK_S)}
        for start, until in hours.opens:
            ends = sorted({start, until, *(c for c in cuts if start < c < until)})
            self.spans += pairwise(ends)
        place = first
        for number in range(hours.ends_s // DAY_S + 1):
            while place < len(self.spans) and self.spans[place][1] <= number * DAY_S:
                place += 1
            self.days.append(place)
        again = next(
            n for n in range(first, len(self.spans)) if self.spans[n][0] >= turn
        )
        always = int(hours.opens == ((0, hours.ends_s),))
        stop = len(self.spans)
        return (always, day, stop, again, hours.ends_s, hours.repeats_s)
