"""What has been seen of the floor in half a year: times, waits and losses?"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from travelers.floor import queries as on_floor
from travelers.formulas.forecast import Spread, sample
from travelers.formulas.lasting import evenly
from travelers.lumber.models import Room
from travelers.planning.queries.forecast.calendar import Calendar, shifts_of
from travelers.planning.queries.forecast.done import (
    Done,
    Key,
    Turn,
    done_count,
    done_steps,
    keys_of,
    planned_s,
)
from travelers.planning.queries.forecast.waits import (
    Free,
    There,
    Waits,
    free_time,
    joined,
    now,
)
from travelers.shop.models import Station

# So far back is looked; before so many were seen, what is planned counts.
PAST = timedelta(days=182)
# Losses are rare, so that they are looked at for longer; waits change, and count from
# the last time alone where that saw enough.
LOSSES_PAST, LATELY = 2 * PAST, PAST / 2
ENOUGH = 10
# An operation's own waits count from so many on, before that those of its station.
FEW = 20
NO_WAITS = Waits()
# A spread keeps so many of the times seen, evenly chosen from the shortest on.
KEPT = 40


@dataclass(frozen=True, slots=True)
class Losses:
    """How often of 1 an operation scraps or sends back, and to which operations.

    ``back_to`` are numbers of operations, each with how often of 1 it is gone back to,
    the farthest first; together they are ``rework``.
    """

    rework: float = 0.0
    scrap: float = 0.0
    back_to: tuple[tuple[int, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Seen:
    """What half a year has shown.

    ``work`` and ``stays`` are seconds by operation: of open time worked, and of any
    time until wood was read dry.  ``holds`` are seconds.  ``all_losses`` are those of
    all operations together.  ``waits`` are those at a station, ``turns`` those for an
    operation there, ``all_waits`` those at all stations, attended or not.  ``slower``
    says how many times as long as planned all work took, ``longer`` how many times as
    long as asked all wood lay until it was dry.
    """

    work: Mapping[Key, tuple[float, ...]]
    stays: Mapping[Key, tuple[float, ...]]
    losses: Mapping[Key, Losses]
    all_losses: Losses
    through: Mapping[Key, int]
    waits: Mapping[int, Waits]
    turns: Mapping[tuple[int, Turn], Waits]
    all_waits: Mapping[bool, Waits]
    slower: Spread | None
    longer: Spread | None
    free: Mapping[int, Free]
    holds: tuple[float, ...]

    def work_of(self, key: Key, planned_s: float) -> Spread:
        """Say how long an operation works.

        Until enough was seen of it, as many times as long as planned as all work took;
        and as planned until enough was seen of that.
        """
        own = self.work.get(key, ())
        if len(own) >= ENOUGH or self.slower is None:
            return spread_of(own, planned_s)
        return replace(self.slower, scale_s=planned_s)

    def wait_of(self, station: Station, turn: Turn) -> Spread | None:
        """Say how long parts wait for an operation though a place is free.

        As for all of the station until enough did, and as at all stations until enough
        did there.
        """
        for one in self._waits(station, turn):
            if len(one.free) >= ENOUGH:
                return spread_of(one.free, 0, one.free_still)
        return None

    def lies_on(self, station: Station, turn: Turn) -> Spread | None:
        """Say likewise how long parts lie on after they might have gone."""
        for one in self._waits(station, turn):
            if len(one.over) >= ENOUGH:
                return spread_of(one.over, 0, one.over_still)
        return None

    def _waits(self, station: Station, turn: Turn) -> tuple[Waits, ...]:
        own = self.turns.get((station.pk, turn), NO_WAITS)
        if len(own.free) < FEW:
            own = NO_WAITS
        return own, self.waits[station.pk], self.all_waits[station.attended]

    def stay_of(self, key: Key, shortest_s: float) -> Spread:
        """Say how long wood lies: never shorter than the route asks.

        Until enough was seen of it, as many times as long as asked as all wood lay.
        """
        seen_s = [max(one, shortest_s) for one in self.stays.get(key, ())]
        if len(seen_s) >= ENOUGH or self.longer is None:
            return spread_of(seen_s, shortest_s)
        return replace(self.longer, scale_s=shortest_s)

    def losses_of(self, key: Key) -> Losses:
        """Say what an operation loses: what all do together until enough went by."""
        if self.through.get(key, 0) < ENOUGH:
            return self.all_losses
        return self.losses.get(key, Losses())


def seen(*, stations: Sequence[Station], known: Calendar, at: datetime) -> Seen:
    """Look back over half a year.

    1. Times of work are open time from start to finish, without what dwells after.
    2. Losses are counted of all that was done at an operation in a year.
    3. Waits are open time; apart stands what was waited though a place was free.
    """
    since = at - PAST
    done = done_steps(since=since, until=at)
    by: dict[int, list[Done]] = defaultdict(list)
    for one in done:
        by[one.station_id].append(one)
    rooms = frozenset(Room.objects.values_list("station_id", flat=True))
    here = now(at=at, rooms=rooms)
    free = {
        one.pk: free_time(
            places=one.places,
            behind=known.worked(shifts_of(one, known), since, at),
            done=by[one.pk],
            there=here.there.get(one.pk, ()),
        )
        for one in stations
    }
    there = {
        pk: There(one, by[pk], here.waiting.get(pk, ()), here.over.get(pk, ()))
        for pk, one in free.items()
    }
    waits = {pk: one.waits(at) for pk, one in there.items()}
    work = _work(done, _Lost.between(since, at), free)
    through = done_count(since=at - LOSSES_PAST, until=at)
    losses = _Lost.between(at - LOSSES_PAST, at).shares(through)
    return Seen(
        work=work,
        stays=_stays(done),
        losses=losses,
        all_losses=_together(losses, through),
        through=through,
        waits=waits,
        turns={
            (pk, turn): own
            for pk, one in there.items()
            for turn, own in one.waits_by_turn(at, at - LATELY, FEW).items()
        },
        all_waits={
            attended: joined(
                waits[one.pk] for one in stations if one.attended is attended
            )
            for attended in (True, False)
        },
        slower=_times_of(_slower(work)),
        longer=_times_of(_longer(done)),
        free=free,
        holds=tuple(
            one.total_seconds() for one in on_floor.lifted_after(since=since, until=at)
        ),
    )


def spread_of(
    seen_s: Sequence[float], otherwise_s: float, still_s: Sequence[float] = ()
) -> Spread:
    """Make a spread of times seen, or of one time until enough were.

    What still goes on counts as lasting at least so long.
    """
    if len(seen_s) < ENOUGH:
        return Spread(float(otherwise_s))
    count = min(KEPT, len(seen_s) + len(still_s))
    return sample(evenly(seen_s, still_s, count))


def _work(
    done: Sequence[Done], lost: "_Lost", free: Mapping[int, Free]
) -> Mapping[Key, tuple[float, ...]]:
    """Say how long parts were at work; also until it was decided that it is done again.

    Whoever found the defect waits for that decision.
    """
    found: dict[Key, list[float]] = defaultdict(list)
    for one in done:
        if not one.is_hold:
            behind = free[one.station_id].behind
            lasted = behind.between_s(one.started_at, one.worked_until)
            found[one.key].append(lasted)
    for key, left in lost.rows:
        if left.again and not left.is_done and left.began_at and left.station_id:
            behind = free[left.station_id].behind
            found[key].append(behind.between_s(left.began_at, left.decided_at))
    return {key: tuple(some) for key, some in found.items()}


def _slower(work: Mapping[Key, Sequence[float]]) -> tuple[float, ...]:
    """Say how many times as long as planned work took, of all operations."""
    planned = planned_s()
    return tuple(
        one / planned[key]
        for key, some in work.items()
        if planned.get(key)
        for one in some
    )


def _longer(done: Sequence[Done]) -> tuple[float, ...]:
    """Say how many times as long as asked wood lay until it was dry."""
    return tuple(
        max(1.0, (one.dry_at - one.started_at) / one.shortest)
        for one in done
        if one.dry_at and one.shortest
    )


def _times_of(seen_times: Sequence[float]) -> Spread | None:
    return spread_of(seen_times, 1) if len(seen_times) >= ENOUGH else None


def _stays(done: Sequence[Done]) -> Mapping[Key, tuple[float, ...]]:
    found: dict[Key, list[float]] = defaultdict(list)
    for one in done:
        if one.dry_at:
            found[one.key].append((one.dry_at - one.started_at).total_seconds())
    return {key: tuple(some) for key, some in found.items()}


@dataclass(frozen=True, slots=True)
class _Lost:
    """The reworks and scraps of a time, each with its operation."""

    rows: tuple[tuple[Key, on_floor.Loss], ...]
    keys: Mapping[int, Key]

    @classmethod
    def between(cls, since: datetime, until: datetime) -> "_Lost":
        lost = on_floor.losses(since=since, until=until)
        ids = {op for one in lost for op in (one.operation_id, *one.again)}
        keys = keys_of(operation_ids=ids)
        return cls(tuple((keys[one.operation_id], one) for one in lost), keys)

    def shares(self, through: Counter[Key]) -> Mapping[Key, Losses]:
        """Reckon which shares of all that came to an operation were lost or sent back.

        What was left while under way came too, though it did not go through.
        """
        back: dict[Key, Counter[int]] = defaultdict(Counter)
        scraps: Counter[Key] = Counter()
        came = through.copy()
        for key, one in self.rows:
            came[key] += not one.is_done
            if one.is_scrap:
                scraps[key] += 1
            elif one.again:
                back[key][min(self.keys[op][2] for op in one.again)] += 1
        found = {}
        for key in sorted(scraps.keys() | back.keys()):
            again = back[key].total()
            whole = max(came[key], again + scraps[key])
            ways = tuple((to, n / whole) for to, n in sorted(back[key].items()))
            found[key] = Losses(again / whole, scraps[key] / whole, ways)
        return found


def _together(losses: Mapping[Key, Losses], through: Counter[Key]) -> Losses:
    whole = through.total()
    if not whole:
        return Losses()
    rework = sum(one.rework * through[key] for key, one in losses.items())
    scrap = sum(one.scrap * through[key] for key, one in losses.items())
    return Losses(rework / whole, scrap / whole)
