"""What has been seen of the floor: times, losses, and how its places are used?"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from travelers.floor import queries as on_floor
from travelers.formulas.forecast import Spread, sample
from travelers.lumber.models import Room
from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.planning.queries.drying import dried, readings_of
from travelers.planning.queries.forecast.calendar import Calendar, Worked, shifts_of
from travelers.routes.models import Operation
from travelers.routes.rules import OperationKind
from travelers.shop.models import Station

# So far back is looked; before so many were seen, what is planned counts.
PAST = timedelta(days=182)
ENOUGH = 10
# A spread keeps so many of the times seen, evenly chosen from the shortest on.
KEPT = 40
# How a station's places are used is said from so many jobs and so many open hours in
# which something waited.
ENOUGH_H = 16
LEAST_USED = 0.05

# An operation by model, branch and number: the same in all revisions.
Key = tuple[int, str, int]


@dataclass(frozen=True, slots=True)
class Used:
    """How a station's places were used while something waited there."""

    places: int
    busy_h: float
    waited_h: float
    jobs: int

    @property
    def is_known(self) -> bool:
        return self.jobs >= ENOUGH and self.waited_h >= ENOUGH_H

    @property
    def share(self) -> float:
        """The share of its places that was in use then; all of them until known."""
        if not self.is_known:
            return 1.0
        return min(1.0, max(LEAST_USED, self.busy_h / (self.places * self.waited_h)))


@dataclass(frozen=True, slots=True)
class Losses:
    """How often of 1 an operation sends back or scraps, and where it sends back to."""

    rework: float = 0.0
    scrap: float = 0.0
    back_to: int | None = None


@dataclass(frozen=True, slots=True)
class Seen:
    """What half a year has shown.

    ``work`` and ``stays`` are seconds by operation: of open time worked, and of any
    time until wood was read dry.  ``holds`` are seconds.
    """

    work: Mapping[Key, tuple[float, ...]]
    stays: Mapping[Key, tuple[float, ...]]
    losses: Mapping[Key, Losses]
    used: Mapping[int, Used]
    holds: tuple[float, ...]

    def work_of(self, key: Key, planned_s: float) -> Spread:
        """Say how long an operation works: as planned until enough was seen."""
        return _spread(self.work.get(key, ()), planned_s)

    def stay_of(self, key: Key, shortest_s: float) -> Spread:
        """Say how long wood lies: never shorter than the route asks."""
        seen = [max(one, shortest_s) for one in self.stays.get(key, ())]
        return _spread(seen, shortest_s)


@dataclass(frozen=True, slots=True)
class _Done:
    """A step that was done, as far as it teaches anything."""

    key: Key
    station_id: int
    is_hold: bool
    ready_at: datetime
    started_at: datetime
    worked_until: datetime
    finished_at: datetime


def seen(*, stations: Sequence[Station], known: Calendar, at: datetime) -> Seen:
    """Look back over half a year.

    1. Times of work are open time from start to finish, without what dwells after.
    2. Losses are counted of what an operation was done, with those sent back.
    3. While something waited: how many of a station's places were in use?
    """
    since = at - PAST
    done = _done(since, at)
    behind = {
        one.pk: known.worked(shifts_of(one, known), since, at) for one in stations
    }
    work: dict[Key, list[float]] = defaultdict(list)
    for one in done:
        if not one.is_hold and one.started_at >= since:
            lasted = behind[one.station_id].between_s(one.started_at, one.worked_until)
            work[one.key].append(lasted)
    return Seen(
        work={key: tuple(some) for key, some in work.items()},
        stays=_stays(at),
        losses=_losses(done, since, at),
        used={
            one.pk: _used(
                one, behind[one.pk], [d for d in done if d.station_id == one.pk]
            )
            for one in stations
            if one.attended
        },
        holds=tuple(
            one.total_seconds() for one in on_floor.lifted_after(since=since, until=at)
        ),
    )


def _done(since: datetime, at: datetime) -> list[_Done]:
    rows = Step.objects.filter(
        state=StepState.DONE,
        finished_at__gt=since,
        finished_at__lte=at,
        started_at__isnull=False,
        ready_at__isnull=False,
        at_station__isnull=False,
    ).values_list(
        "operation__revision__model_id",
        "operation__branch",
        "operation__number",
        "at_station_id",
        "operation__kind",
        "operation__shortest_dwell_s",
        "operation__shortest_between_s",
        "repeat",
        "ready_at",
        "started_at",
        "dwell_until",
        "finished_at",
    )
    return [_row(*row) for row in rows.order_by("finished_at", "id")]


def _row(  # noqa: PLR0913 - a row of the query above
    model: int,
    branch: str,
    number: int,
    station: int,
    kind: str,
    dwell_s: int,
    between_s: int | None,
    repeat: int,
    ready: datetime,
    started: datetime,
    dwell_until: datetime | None,
    finished: datetime,
) -> _Done:
    rests = timedelta(seconds=between_s or 0) if repeat > 1 else timedelta(0)
    is_hold = kind == OperationKind.HOLD
    worked = finished
    if dwell_until and not is_hold:
        worked = min(finished, dwell_until - timedelta(seconds=dwell_s))
    free = min(started, ready + rests)
    return _Done(
        (model, branch, number), station, is_hold, free, started, worked, finished
    )


def _stays(at: datetime) -> dict[Key, tuple[float, ...]]:
    """Say how long wood lay in its room until it was first read dry."""
    found: dict[Key, list[float]] = defaultdict(list)
    for code, limit in Room.objects.order_by("id").values_list(
        "station__code", "limit_pct"
    ):
        lots = dried(room_code=code, until=at)
        read = readings_of(lots)
        keys = _keys(lot.step_id for lot in lots)
        for lot in lots:
            dry = [
                one.read_at
                for one in read.get(lot.step_id, ())
                if one.worst_pct < float(limit)
            ]
            if dry:
                found[keys[lot.step_id]].append((min(dry) - lot.since).total_seconds())
    return {key: tuple(some) for key, some in found.items()}


def _keys(step_ids: Iterable[int]) -> dict[int, Key]:
    rows = Step.objects.filter(pk__in=list(step_ids)).values_list(
        "pk",
        "operation__revision__model_id",
        "operation__branch",
        "operation__number",
    )
    return {pk: (model, branch, number) for pk, model, branch, number in rows}


def _losses(done: Sequence[_Done], since: datetime, at: datetime) -> dict[Key, Losses]:
    """Reckon the shares of what passed an operation and was lost or sent back there."""
    lost = on_floor.losses(since=since, until=at)
    named = _operations(
        {one.operation_id for one in lost} | {op for one in lost for op in one.again}
    )
    through = Counter(one.key for one in done)
    back: dict[Key, Counter[int]] = defaultdict(Counter)
    scraps: Counter[Key] = Counter()
    for one in lost:
        key = named[one.operation_id]
        if one.is_scrap:
            scraps[key] += 1
        elif one.again:
            back[key][min(named[op][2] for op in one.again)] += 1
    found = {}
    for key in scraps.keys() | back.keys():
        again = back[key].total()
        whole = max(through[key], again + scraps[key])
        to = back[key].most_common(1)[0][0] if again else None
        found[key] = Losses(again / whole, scraps[key] / whole, to)
    return found


def _operations(ids: set[int]) -> dict[int, Key]:
    rows = Operation.objects.filter(pk__in=ids).values_list(
        "pk", "revision__model_id", "branch", "number"
    )
    return {pk: (model, branch, number) for pk, model, branch, number in rows}


def _used(station: Station, behind: Worked, done: Sequence[_Done]) -> Used:
    """Go through the open time: what waited, and what lay on the places meanwhile."""
    turns: list[tuple[float, int, int]] = []
    for one in done:
        free, start, end = (
            behind.open_s(moment)
            for moment in (one.ready_at, one.started_at, one.finished_at)
        )
        turns += [(free, 1, 0), (start, -1, 1), (end, 0, -1)]
    turns.sort()
    waiting = busy = 0
    last = busy_s = waited_s = 0.0
    for moment, waits, works in turns:
        if waiting:
            waited_s += moment - last
            busy_s += min(busy, station.places) * (moment - last)
        waiting, busy, last = waiting + waits, busy + works, moment
    return Used(station.places, busy_s / 3600, waited_s / 3600, len(done))


def _spread(seen_s: Sequence[float], otherwise_s: float) -> Spread:
    if len(seen_s) < ENOUGH:
        return Spread(float(otherwise_s))
    ordered = sorted(seen_s)
    if len(ordered) > KEPT:
        ordered = [
            ordered[(2 * n + 1) * len(ordered) // (2 * KEPT)] for n in range(KEPT)
        ]
    return sample(ordered)
