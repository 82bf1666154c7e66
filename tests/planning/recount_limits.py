"""Which numbers must stand on the page of limits, of a floor that knows no chance?

All its futures are one; that one is written down step by step, and each number of the
page is reckoned from it, minute by minute where hours are counted. What waits now, and
what waited though a place was free, is counted from the ledger.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property

import numpy as np
from django.template.defaultfilters import floatformat
from django.utils.formats import date_format

from tests.planning.recount import Recount
from travelers.formulas import forecast as fc
from travelers.kit.words import moment, span
from travelers.shop.models import Shift, Station

MINUTE, DAY_S, WEEK_S = 60, 86_400, 604_800
# So many weeks of minutes are enough for all that these floors still do.
WEEKS = 26
# As the page tells them.
TOLD, LOADED, FIRST, TRIED = 13, 4, 12, 3
MONTH_S = 30.4375 * DAY_S


@dataclass(frozen=True)
class Figures:
    """What one station does in the one future: seconds, and by weeks from now on."""

    busy_s: tuple[float, ...]
    open_s: tuple[float, ...]
    queue_s: tuple[float, ...]
    wait_s: float
    age_s: float
    way_s: float


@dataclass(frozen=True)
class Future:
    """The one future of a floor, with the shift that all stations of it have."""

    found: Recount
    line: fc.Line

    @cached_property
    def done(self) -> tuple[fc.Done, ...]:
        return fc.trace(self.line, 1)

    @cached_property
    def is_open(self) -> np.ndarray:
        """Say of each minute from now on whether the shop is open."""
        opens = _opens(self.found)
        minutes = range(WEEKS * WEEK_S // MINUTE)
        at = self.found.at
        return np.array([opens(at + timedelta(minutes=n)) for n in minutes])

    def opening_s(self, since_s: float) -> float:
        first = int(since_s // MINUTE)
        if self.is_open[first]:
            return since_s
        return float(MINUTE * (first + np.argmax(self.is_open[first:])))

    def worked_until_s(self, start_s: float, work_s: float) -> float:
        """Say when work ends that goes on in open minutes only."""
        at, left = start_s, work_s
        while left > 0:
            at = self.opening_s(at)
            step = min(left, MINUTE - at % MINUTE)
            at, left = at + step, left - step
        return at

    def waited_s(self, one: fc.Done) -> float:
        """Say how long a place was waited for, closed hours before not counted."""
        return one.start_s - min(one.start_s, self.opening_s(max(0.0, one.ready_s)))

    @cached_property
    def ends_s(self) -> dict[str, float]:
        found: dict[str, float] = {}
        for one in self.done:
            found[one.job] = max(one.end_s, found.get(one.job, 0.0))
        return found

    @cached_property
    def finishes_s(self) -> list[float]:
        return [self.ends_s[self.last(one.name)] for one in self.line.instruments]

    def last(self, instrument: str) -> str:
        own = [job.name for job in self.line.jobs if job.instrument == instrument]
        return max(own, key=self.ends_s.__getitem__)

    def way(self, job: str) -> Iterator[str]:
        """Follow a job back along the mate that came last."""
        while True:
            yield job
            (mates,) = (one.joins for one in self.line.jobs if one.name == job)
            if not mates:
                return
            job = max(mates, key=self.ends_s.__getitem__)

    @cached_property
    def way_waits_s(self) -> dict[str, float]:
        """Sum what was waited for each station along the longest ways."""
        found: dict[str, float] = defaultdict(float)
        for instrument in self.line.instruments:
            own = set(self.way(self.last(instrument.name)))
            for one in self.done:
                if one.job in own and one.station:
                    found[one.station] += self.waited_s(one)
        return found

    def figures(self, station: fc.Station) -> Figures:
        steps = {job.name: job.steps for job in self.line.jobs}
        busy, queue = [0.0] * WEEKS, [0.0] * WEEKS
        waits, aged = [], 0.0
        for one in self.done:
            if one.station != station.name:
                continue
            waits.append(one.start_s - max(0.0, one.ready_s))
            before, whole = max(0.0, -one.ready_s), one.start_s - one.ready_s
            aged += (whole**2 - before**2) / 2
            _by_week(queue, max(0.0, one.ready_s), one.start_s)
            work = steps[one.job][one.step].work.mean_s
            ends = self.worked_until_s(one.start_s, work)
            for at in np.arange(one.start_s, ends, MINUTE):
                if self.is_open[int(at // MINUTE)]:
                    _by_week(busy, at, min(at + MINUTE, ends))
            _by_week(busy, ends, one.end_s)
        minutes = self.is_open.reshape(WEEKS, -1).sum(axis=1) * MINUTE
        return Figures(
            tuple(busy),
            tuple(station.places * minutes.astype(float)),
            tuple(queue),
            sum(waits) / len(waits) if waits else 0.0,
            aged / sum(waits) if sum(waits) else 0.0,
            self.way_waits_s[station.name] / len(self.line.instruments),
        )


def _by_week(weeks: list[float], start_s: float, end_s: float) -> None:
    for n in range(len(weeks)):
        least, most = n * WEEK_S, (n + 1) * WEEK_S
        weeks[n] += max(0.0, min(end_s, most) - max(start_s, least))


def limits_text(
    found: Recount, *, line: fc.Line, futures: int, seed: int, tries: "Tries"
) -> str:
    """Tell the page of limits as it stands once more was tried."""
    here = Future(found, line)
    figures = {one.name: here.figures(one) for one in line.stations}
    rows = {one.code: one for one in Station.objects.order_by("code")}
    ways = {code: here.way_waits_s[code] for code in rows}
    worst = max(ways, key=lambda code: ways[code])
    order = sorted(rows, key=lambda code: (code != worst, -ways[code], code))
    limiting = [code for code in order if ways[code] > 0][:TRIED]
    gains = {
        (code, change): _gain(here, Future(found, made(line, code)))
        for code in limiting
        for change, made in tries.items()
    }
    days = floatformat(ways[worst] / len(line.instruments) / DAY_S, 1)
    sooner, _more = gains[worst, "PLACE"]
    free = _beside(found)
    whole = [sum(values) for values in zip(*free.values(), strict=True)]
    return " ".join(
        [
            f"100 100 {days}",
            " ".join([floatformat(sooner, 1)] * 3),
            f"100 {floatformat(100 * whole[0] / whole[1], 0)}",
            f"{futures} {moment(found.at)} {len(line.jobs)} {seed}",
            *(_gain_row(one) for one in gains.values()),
            "95 100",
            *_stations(found, figures, order, worst, free),
            *_weeks(found, figures, rows, order),
        ]
    )


Tries = dict[str, Callable[[fc.Line, str], fc.Line]]


def one_more_place(line: fc.Line, code: str) -> fc.Line:
    """Put a place more into the line by hand."""
    return replace(
        line,
        stations=tuple(
            replace(one, places=one.places + 1) if one.name == code else one
            for one in line.stations
        ),
    )


def _gain(here: Future, there: Future) -> tuple[float, float]:
    """Say how many days sooner, and how many more a month in a quarter of a year."""
    pairs = list(zip(here.finishes_s, there.finishes_s, strict=True))
    by_s = 3 * MONTH_S
    more = sum(b <= by_s for _, b in pairs) - sum(a <= by_s for a, _ in pairs)
    return sum(a - b for a, b in pairs) / len(pairs) / DAY_S, more / 3


def _gain_row(gain: tuple[float, float]) -> str:
    """All futures are one, so that the mean is as sure as it can be."""
    return " ".join(floatformat(value, 2) for value in gain for _ in range(3))


def _stations(
    found: Recount,
    figures: dict[str, Figures],
    order: list[str],
    worst: str,
    free: dict[str, tuple[float, float]],
) -> Iterator[str]:
    """Tell both tables of stations, each with its head."""
    rows = {one.code: one for one in Station.objects.order_by("code")}
    for place, code in enumerate(order):
        if place in (0, FIRST):
            yield "100 4"
        told, one = figures[code], rows[code]
        there = sum(told.open_s[:LOADED])
        load = 100 * sum(told.busy_s[:LOADED]) / there if there else 0.0
        waits = _waiting(found, one)
        lay, whole = free[code]
        yield " ".join(
            [
                "100" if code == worst else "0",
                f"{one.places} {floatformat(load, 0)} {len(waits)}",
                span(max(waits)) if waits else "–",
                span(timedelta(seconds=told.wait_s)) if told.wait_s else "–",
                span(timedelta(seconds=told.age_s)) if told.age_s else "–",
                floatformat(100 * lay / whole, 0) if whole else "–",
            ]
        )
    if len(order) <= FIRST:
        yield "100 4"


def _waiting(found: Recount, station: Station) -> list[timedelta]:
    """Say how long each part waits that could begin at a station now."""
    return [
        found.at - found.ready_at(step)
        for steps in found.ledger.steps.values()
        for step in steps
        if step.station_id == station.pk and found.is_ready(step)
    ]


def _beside(found: Recount) -> dict[str, tuple[float, float]]:
    """Count the open minutes that parts waited at stations, those with a place free
    first."""
    steps = [step for some in found.ledger.steps.values() for step in some]
    told, opens = {}, _opens(found)
    for station in Station.objects.order_by("code"):
        done = [
            (
                found.ready_at(step),
                found.ledger.began[step.pk],
                found.ledger.ended[step.pk],
            )
            for step in steps
            if step.station_id == station.pk and step.pk in found.ledger.ended
        ]
        lay = whole = 0
        for ready, began, _ in done:
            for at in _minutes(ready, began):
                if opens(at):
                    taken = sum(b <= at < e for _, b, e in done)
                    whole += 1
                    lay += taken < station.places
        told[station.code] = (float(lay), float(whole))
    return told


def _minutes(since: datetime, until: datetime) -> Iterator[datetime]:
    while since < until:
        yield since
        since += timedelta(minutes=1)


def _opens(found: Recount) -> Callable[[datetime], bool]:
    """Give whether a moment lies in the one shift of the shop, by the clock on its
    wall."""
    (shift,) = Shift.objects.all()

    def opens(at: datetime) -> bool:
        clock = at.astimezone(found.zone)
        works = str(clock.isoweekday()) in shift.weekdays
        return works and shift.starts <= clock.time() < shift.ends

    return opens


def _weeks(
    found: Recount,
    figures: dict[str, Figures],
    rows: dict[str, Station],
    order: Iterable[str],
) -> Iterator[str]:
    """Tell the table of weeks: hours taken of those open, and how many wait."""
    for n in range(TOLD):
        day: date = (found.at + n * timedelta(weeks=1)).date()
        yield date_format(day, "j M")
    for code in order:
        if rows[code].attended:
            told = figures[code]
            for busy, there, queue in zip(
                told.busy_s[:TOLD],
                told.open_s[:TOLD],
                told.queue_s[:TOLD],
                strict=True,
            ):
                hours = floatformat(busy / 3600, 0), floatformat(there / 3600, 0)
                yield f"{hours[0]} {hours[1]} {floatformat(queue / WEEK_S, 0)}"
