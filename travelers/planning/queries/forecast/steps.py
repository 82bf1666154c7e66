"""How does what is still to be done become steps of the forecast?"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from statistics import NormalDist

from travelers.formulas.forecast import Spread, Step, fixed, quantiles, sample
from travelers.planning.queries.drying import Forecast, Outlook
from travelers.planning.queries.forecast.done import Key, Turn
from travelers.planning.queries.forecast.open_steps import Built, Chunk, Row
from travelers.planning.queries.forecast.seen import Seen
from travelers.routes.rules import OperationKind
from travelers.shop.models import Station

# What a drying forecast's earliest and latest day stand for: 10 and 90 of 100.
TENTH = NormalDist().inv_cdf(0.9)
SHARES = 20
# Until holds were seen to be lifted, one is taken to last so long (no source).
HELD_FOR = timedelta(days=2)
# Of these sets a day can be said; of the others only how long such sets lay before.
TOLD = (Outlook.DRY, Outlook.MAY_BE, Outlook.WILL_BE)


@dataclass(frozen=True, slots=True)
class Laid:
    """Where the steps of a row lie: its wait, its work, and what comes after them.

    ``lies_on`` says whether it waits after its work to be taken out.
    """

    number: int
    start: int
    main: int
    end: int
    lies_on: bool


@dataclass(slots=True)
class Steps:
    """Makes steps of rows; the same rows give the same steps, laid down once."""

    seen: Seen
    rooms: frozenset[int]
    drying: Mapping[int, Forecast]
    at: datetime
    known: dict[tuple[object, ...], Step] = field(default_factory=dict)
    ways: dict[tuple[int, ...], tuple[Step, ...]] = field(default_factory=dict)
    usual: dict[tuple[object, ...], tuple[tuple[Step, ...], list[Laid]]] = field(
        default_factory=dict
    )

    def of(self, chunk: Chunk, built: Built) -> tuple[tuple[Step, ...], list[Laid]]:
        """Give a stretch's steps, and where those of each of its rows lie among them.

        Stretches of one route are alike, but for wood that has a day of its own.
        """
        if any(row.id in self.drying for row in chunk.rows):
            return self._made(chunk, built)
        alike = (
            built.model_id,
            *((row.line.id, row.repeat, row.station.pk) for row in chunk.rows),
        )
        if alike not in self.usual:
            self.usual[alike] = self._made(chunk, built)
        return self.usual[alike]

    def _made(self, chunk: Chunk, built: Built) -> tuple[tuple[Step, ...], list[Laid]]:
        """Lay the steps of a stretch down.

        Before the work stands the wait for somebody, after what dwells the wait to be
        taken out, between two coats their gap.
        """
        made: list[Step] = []
        laid: list[Laid] = []
        for place, row in enumerate(chunk.rows):
            gap = _gap_s(row)
            if gap and place and chunk.rows[place - 1].line.id == row.line.id:
                made.append(self._kept(("gap", gap), Step(None, dwell=fixed(gap))))
            start = len(made)
            turn = (key_of(row, built), row.repeat > 1)
            made += self._wait("free", row.station, turn)
            main = len(made)
            first, *others = self._ways_back(row, built, start, laid)
            made.append(self._main(row, built, first))
            over: list[Step] = []
            if row.line.shortest_dwell or row.line.kind is OperationKind.HOLD:
                over = self._wait("over", row.station, turn)
            made += over
            made += [self._way_back(way) for way in others]
            laid.append(Laid(row.line.number, start, main, len(made), bool(over)))
        ids = tuple(id(step) for step in made)
        return self.ways.setdefault(ids, tuple(made)), laid

    def _wait(self, sort: str, station: Station, turn: Turn) -> list[Step]:
        """Give the wait though a place is free, where enough of them were seen."""
        name = (sort, station.pk, turn)
        if name not in self.known:
            asked = self.seen.wait_of if sort == "free" else self.seen.lies_on
            spread = asked(station, turn)
            if spread is None:
                return []
            self.known[name] = Step(beside(station.code), work=spread)
        return [self.known[name]]

    def _ways_back(
        self, row: Row, built: Built, start: int, laid: list[Laid]
    ) -> list[tuple[int, float]]:
        """Say to which steps rework goes, each with its share of what is left to it.

        An operation of several coats is gone back to for one.
        """
        lost = self.seen.losses_of(key_of(row, built))
        ways: dict[int, float] = defaultdict(float)
        for number, share in lost.back_to or ((row.line.number, lost.rework),):
            ways[_step_of(number, row, start, laid)] += share
        found, left = [], 1.0
        for step, share in sorted(ways.items()):
            found.append((step, share / left if left > 0 else 0.0))
            left -= share
        return found

    def _way_back(self, way: tuple[int, float]) -> Step:
        back, share = way
        return self._kept(("back", back, share), Step(None, rework=share, back_to=back))

    def _main(self, row: Row, built: Built, way: tuple[int, float]) -> Step:
        key = key_of(row, built)
        name = (key, row.station.pk, way)
        if name not in self.known:
            self.known[name] = self._usual(row, key, way)
        usual = self.known[name]
        own = self.drying.get(row.id)
        if own is None or row.started_at is None or own.outlook not in TOLD:
            return usual
        shortest = row.line.shortest_dwell.total_seconds()
        return replace(usual, dwell=_drying(own, row.started_at, self.at, shortest))

    def _usual(self, row: Row, key: Key, way: tuple[int, float]) -> Step:
        line, station, (back, rework) = row.line, row.station, way
        shortest = line.shortest_dwell.total_seconds()
        dwell = fixed(shortest)
        if station.pk in self.rooms and line.kind is OperationKind.HOLD:
            dwell = self.seen.stay_of(key, shortest)
        work = self._work(key, line.planned.total_seconds())
        return Step(
            station.code,
            work=fixed(0) if line.kind is OperationKind.HOLD else work,
            dwell=dwell,
            rework=rework,
            back_to=back,
        )

    def _work(self, key: Key, planned_s: float) -> Spread:
        name = ("work", key, planned_s)
        if name not in self.known:
            self.known[name] = Step(None, work=self.seen.work_of(key, planned_s))
        return self.known[name].work

    def held(self, since: datetime) -> Step:
        """Give the wait of a held part: what was left of holds that lasted as long."""
        so_far = (self.at - since).total_seconds()
        left = [one - so_far for one in self.seen.holds if one > so_far]
        return Step(
            None, dwell=sample(left) if left else fixed(HELD_FOR.total_seconds())
        )

    def _kept(self, name: tuple[object, ...], made: Step) -> Step:
        return self.known.setdefault(name, made)


def _step_of(number: int, row: Row, start: int, laid: list[Laid]) -> int:
    """Find the step at which what is sent back to an operation begins again."""
    if number >= row.line.number:
        return start
    there = min((one.number for one in laid if one.number >= number), default=None)
    return max((one.start for one in laid if one.number == there), default=start)


def beside(code: str) -> str:
    """Name the room beside a station where parts wait though a place is free."""
    return f"{code} beside"


def key_of(row: Row, built: Built) -> Key:
    return built.model_id, str(row.line.branch), row.line.number


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
