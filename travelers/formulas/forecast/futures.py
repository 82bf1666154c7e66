"""When is what finished, how sure is that, and what holds it up?"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from travelers.formulas.forecast.hours import WEEK_S, Hours
from travelers.formulas.forecast.line import Line
from travelers.formulas.forecast.world import World

ODDS = (0.5, 0.8, 0.95)
"""The shares of futures that a promise is given with."""


@dataclass(frozen=True, slots=True)
class TimeSpent:
    """Where time goes, in seconds.

    Attributes
    ----------
    work_s, station_s, closed_s, dwell_s : float
        Worked on; waiting for a place while the station was open to it; waiting or
        lying on because it was closed; dwelling.
    held_back_s : float
        Before the release, or before a moment such as the day that wood is dry.
    mates_s : float
        Parts that waited to be joined. Along a longest way it is 0: what came last
        waited for nobody.
    """

    work_s: float
    station_s: float
    closed_s: float
    dwell_s: float
    held_back_s: float
    mates_s: float


@dataclass(frozen=True, slots=True)
class StationLoad:
    """What a station does and what waits for it, over all futures.

    Attributes
    ----------
    name : str
    limits_share : float
        Share of futures in which it limits: of all stations, the one for whose places
        the instruments waited longest along their longest ways. A future in which
        nobody waited has no limit.
    way_wait_s : float
        How long an instrument waits for its places along its longest way, on average.
    busy_h_by_week, open_h_by_week : tuple of float
        Hours of places, taken on average, and there: places times open hours.
    queue_by_week : tuple of float
        How many wait, on average over the week, nights and closed days too.
    wait_s : float
        How long one that comes waits, on average, nights and closed days too.
    queue_age_s : float
        How long those that wait have waited already, on average over all moments.
    """

    name: str
    limits_share: float
    way_wait_s: float
    busy_h_by_week: tuple[float, ...]
    open_h_by_week: tuple[float, ...]
    queue_by_week: tuple[float, ...]
    wait_s: float
    queue_age_s: float


@dataclass(frozen=True, slots=True, repr=False, eq=False)
class Futures:
    """What became of a floor in each future.

    Attributes
    ----------
    line : Line
    finishes_s : array, futures by instruments
        Seconds since the forecast's start.
    way_waits_s : array, futures by stations
        Seconds that instruments waited for a place along their longest ways: from each
        finish back to the forecast's start, always along what was waited for last.
    little : array, futures by 2
        The number of jobs in work summed over time, and the stays summed over jobs:
        Little's law says that they are the same.
    events : int
    told, busy_s, queue_s, ways_s, parts_s : array
        What the other results are reckoned from.
    """

    line: Line
    finishes_s: Any
    way_waits_s: Any
    little: Any
    events: int
    told: Any
    busy_s: Any
    queue_s: Any
    ways_s: Any
    parts_s: Any

    @property
    def count(self) -> int:
        """How many futures there are."""
        return len(self.finishes_s)

    def orders_s(self) -> dict[str, Any]:
        """Give for each order when its last instrument is finished, in each future."""
        owners: dict[str, list[int]] = {}
        for number, one in enumerate(self.line.instruments):
            owners.setdefault(one.order, []).append(number)
        return {
            order: self.finishes_s[:, some].max(axis=1)
            for order, some in owners.items()
        }

    def quantiles_s(self, odds: Sequence[float] = ODDS) -> dict[str, tuple[float, ...]]:
        """Give for each instrument by when it is finished in such shares of futures."""
        found = quantiles_s(self.finishes_s, odds)
        names = (one.name for one in self.line.instruments)
        return dict(zip(names, found, strict=True))

    def order_quantiles_s(
        self, odds: Sequence[float] = ODDS
    ) -> dict[str, tuple[float, ...]]:
        """Give for each order by when it is finished in such shares of futures."""
        return {
            order: quantiles_s(moments[:, None], odds)[0]
            for order, moments in self.orders_s().items()
        }

    def late_shares(self) -> dict[str, float]:
        """Give for each instrument the share of futures in which it is late."""
        return {
            one.name: float((self.finishes_s[:, number] > one.due_s).mean())
            for number, one in enumerate(self.line.instruments)
        }

    def limits(self) -> Any:
        """Give the number of the station that limits each future; -1 for none."""
        found = self.way_waits_s.argmax(axis=1)
        found[self.way_waits_s.max(axis=1) <= 0] = -1
        return found

    def stations(self) -> tuple[StationLoad, ...]:
        """Say for each station what it does and what waits for it."""
        limits = self.limits()
        instruments = len(self.line.instruments)
        found = []
        for number, one in enumerate(self.line.stations):
            told = self.told[:, number]
            waited, starts = told["waited_s"].sum(), told["starts"].sum()
            found.append(
                StationLoad(
                    name=one.name,
                    limits_share=float((limits == number).mean()),
                    way_wait_s=float(self.way_waits_s[:, number].mean() / instruments),
                    busy_h_by_week=_per(self.busy_s[number], 3600 * self.count),
                    open_h_by_week=tuple(
                        one.places * seconds / 3600
                        for seconds in open_s_by_week(one.hours, self.line.weeks)
                    ),
                    queue_by_week=_per(self.queue_s[number], WEEK_S * self.count),
                    wait_s=float(waited / starts) if starts else 0.0,
                    queue_age_s=float(told["aged_s2"].sum() / waited)
                    if waited
                    else 0.0,
                )
            )
        return tuple(found)

    def ways(self) -> dict[str, TimeSpent]:
        """Say for each instrument where the time until its finish goes, on average.

        Along its longest way: it adds up to its mean finish.
        """
        return self._spent(self.ways_s)

    def parts(self) -> dict[str, TimeSpent]:
        """Say for each instrument where the time of all its parts goes, on average."""
        return self._spent(self.parts_s)

    def _spent(self, sums: Any) -> dict[str, TimeSpent]:
        names = (one.name for one in self.line.instruments)
        rows = (sums / self.count).tolist()
        return {name: TimeSpent(*row) for name, row in zip(names, rows, strict=True)}


def of_world(line: Line, world: World, events: int) -> Futures:
    """Take the results out of a world that was lived through."""
    return Futures(
        line=line,
        finishes_s=world.finishes,
        way_waits_s=world.limits,
        little=world.little,
        events=events,
        told=world.told,
        busy_s=world.busy,
        queue_s=world.queue,
        ways_s=world.paths,
        parts_s=world.parts,
    )


def joined(one: Futures, other: Futures) -> Futures:
    """Put futures of the same line together."""
    import numpy as np

    def both(name: str) -> Any:
        return np.concatenate([getattr(one, name), getattr(other, name)])

    return replace(
        one,
        finishes_s=both("finishes_s"),
        way_waits_s=both("way_waits_s"),
        little=both("little"),
        told=both("told"),
        events=one.events + other.events,
        busy_s=one.busy_s + other.busy_s,
        queue_s=one.queue_s + other.queue_s,
        ways_s=one.ways_s + other.ways_s,
        parts_s=one.parts_s + other.parts_s,
    )


def quantiles_s(moments: Any, odds: Sequence[float]) -> list[tuple[float, ...]]:
    """Give for each column the moments before which such shares lie, interpolated.

    Raises
    ------
    ValueError
        If a share is not from 0 to 1.
    """
    import numpy as np

    for share in odds:
        if not 0 <= share <= 1:
            raise ValueError(f"odds must be from 0 to 1, got {share!r}")
    return [tuple(row) for row in np.quantile(moments, odds, axis=0).T.tolist()]


def open_s_by_week(hours: Hours, weeks: int) -> tuple[float, ...]:
    """Say how many seconds of each week a place is open."""
    found = [0.0] * weeks
    turn, turns = hours.ends_s - hours.repeats_s, 0
    opens = list(hours.opens)
    again = [(max(a, turn), b) for a, b in opens if b > turn]
    while turns == 0 or turn + turns * hours.repeats_s < weeks * WEEK_S:
        for start, until in opens if turns == 0 else again:
            _add(
                found, start + turns * hours.repeats_s, until + turns * hours.repeats_s
            )
        turns += 1
    return tuple(found)


def _add(found: list[float], start: int, until: int) -> None:
    while start < until and start // WEEK_S < len(found):
        end = min(until, (start // WEEK_S + 1) * WEEK_S)
        found[start // WEEK_S] += end - start
        start = end


def _per(sums: Any, whole: float) -> tuple[float, ...]:
    return tuple((sums / whole).tolist())
