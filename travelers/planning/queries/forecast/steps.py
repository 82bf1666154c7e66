"""How does what is still to be done become steps of the forecast?"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from math import ceil
from statistics import NormalDist

from travelers.formulas.forecast import Spread, Step, fixed, quantiles, sample
from travelers.planning.queries.drying import Forecast, Outlook
from travelers.planning.queries.forecast.open_steps import Built, Chunk, Row
from travelers.planning.queries.forecast.seen import Key, Losses, Seen
from travelers.routes.rules import OperationKind

# What a drying forecast's earliest and latest day stand for: 10 and 90 of 100.
TENTH = NormalDist().inv_cdf(0.9)
SHARES = 20
# Until holds were seen to be lifted, one is taken to last so long (no source).
HELD_FOR = timedelta(days=2)
NO_LOSSES = Losses()
# Of these sets a day can be said; of the others only how long such sets lay before.
TOLD = (Outlook.DRY, Outlook.MAY_BE, Outlook.WILL_BE)


@dataclass(frozen=True, slots=True)
class Manned:
    """How many of a station's places count, and how much longer work takes there.

    While something waits only a share of the places is in use: people are elsewhere. So
    fewer places count, and what is over makes work longer.
    """

    places: int
    slower: float

    @classmethod
    def of(cls, places: int, share: float) -> "Manned":
        used = places * share
        whole = min(places, ceil(used - 1e-9))
        return cls(whole, whole / used)


@dataclass(slots=True)
class Steps:
    """Makes steps of rows; the same rows give the same steps, laid down once."""

    seen: Seen
    manned: Mapping[int, Manned]
    rooms: frozenset[int]
    drying: Mapping[int, Forecast]
    at: datetime
    known: dict[tuple[object, ...], Step] = field(default_factory=dict)
    ways: dict[tuple[int, ...], tuple[Step, ...]] = field(default_factory=dict)

    def of(self, chunk: Chunk, built: Built) -> tuple[tuple[Step, ...], list[int]]:
        """Give a stretch's steps, and where each of its rows begins among them.

        Between two coats there lies a step without a place, which is their gap.
        """
        made: list[Step] = []
        starts: list[int] = []
        numbers: list[int] = []
        for place, row in enumerate(chunk.rows):
            gap = _gap_s(row)
            if gap and place and chunk.rows[place - 1].line.id == row.line.id:
                made.append(self._gap(gap))
            starts.append(len(made))
            numbers.append(row.line.number)
            made.append(self._step(row, built, starts, numbers))
        ids = tuple(id(step) for step in made)
        return self.ways.setdefault(ids, tuple(made)), starts

    def _gap(self, seconds: float) -> Step:
        return self._kept(("gap", seconds), Step(None, dwell=fixed(seconds)))

    def _step(
        self, row: Row, built: Built, starts: list[int], numbers: list[int]
    ) -> Step:
        line, key = row.line, (built.model_id, str(row.line.branch), row.line.number)
        lost = self.seen.losses.get(key, NO_LOSSES)
        back = starts[-1]
        if lost.back_to is not None:
            back = next(
                start
                for start, number in zip(starts, numbers, strict=True)
                if number >= min(lost.back_to, line.number)
            )
        name = (key, row.station.pk, back)
        if name not in self.known:
            self.known[name] = self._usual(row, key, lost, back)
        usual = self.known[name]
        own = self.drying.get(row.id)
        if own is None or row.started_at is None or own.outlook not in TOLD:
            return usual
        shortest = line.shortest_dwell.total_seconds()
        return replace(usual, dwell=_drying(own, row.started_at, self.at, shortest))

    def _usual(self, row: Row, key: Key, lost: Losses, back: int) -> Step:
        line, station = row.line, row.station
        shortest = line.shortest_dwell.total_seconds()
        dwell = fixed(shortest)
        if station.pk in self.rooms and line.kind is OperationKind.HOLD:
            dwell = self.seen.stay_of(key, shortest)
        work = self.seen.work_of(key, line.planned.total_seconds())
        slower = self.manned[station.pk].slower
        return Step(
            station.code,
            work=fixed(0) if line.kind is OperationKind.HOLD else longer(work, slower),
            dwell=dwell,
            rework=lost.rework,
            scrap=lost.scrap,
            back_to=back,
        )

    def held(self, since: datetime) -> Step:
        """Give the wait of a held part: what was left of holds that lasted as long."""
        so_far = (self.at - since).total_seconds()
        left = [one - so_far for one in self.seen.holds if one > so_far]
        return Step(
            None, dwell=sample(left) if left else fixed(HELD_FOR.total_seconds())
        )

    def _kept(self, name: tuple[object, ...], made: Step) -> Step:
        return self.known.setdefault(name, made)


def longer(times: Spread, by: float) -> Spread:
    return replace(times, scale_s=times.scale_s * by)


def _gap_s(row: Row) -> float:
    between = row.line.shortest_between
    return between.total_seconds() if between and row.repeat > 1 else 0.0


def _drying(own: Forecast, since: datetime, at: datetime, shortest_s: float) -> Spread:
    """Say how long wood lies in all, by its own forecast.

    What is dry, or may be, lies no longer than it must. Below its likely day the spread
    of the others is that of their earliest day, above that of their latest.
    """
    least = max((at - since).total_seconds(), shortest_s)
    if not (own.expected_at and own.earliest_at and own.latest_at):
        return fixed(least)
    likely = (own.expected_at - since).total_seconds()
    below = (own.expected_at - own.earliest_at).total_seconds() / TENTH
    above = (own.latest_at - own.expected_at).total_seconds() / TENTH
    found = []
    for n in range(SHARES + 1):
        z = NormalDist().inv_cdf(min(max(n / SHARES, 0.005), 0.995))
        found.append(max(least, likely + z * (below if z < 0 else above)))
    return quantiles(found)
