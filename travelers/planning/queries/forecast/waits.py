"""How long do parts wait at a station, and how much of it though a place is free?"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import chain

from travelers.kit.fields import written
from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.planning.queries.forecast.calendar import Worked
from travelers.planning.queries.forecast.done import Done, Turn

ACTIVE = tuple(
    written(state) for state in (StepState.READY, StepState.RUNNING, StepState.DWELLING)
)


@dataclass(frozen=True, slots=True)
class Free:
    """In how much open time a place of a station was free, until each turn."""

    turns: tuple[float, ...]
    until: tuple[float, ...]
    goes_on: tuple[bool, ...]
    behind: Worked

    def free_s(self, at: datetime) -> float:
        moment = self.behind.open_s(at)
        place = bisect_right(self.turns, moment)
        if not place:
            return moment
        since = moment - self.turns[place - 1] if self.goes_on[place - 1] else 0.0
        return self.until[place - 1] + since

    def between_s(self, since: datetime, until: datetime) -> float:
        return max(0.0, self.free_s(until) - self.free_s(since))


@dataclass(frozen=True, slots=True)
class Waits:
    """How long parts waited at a station, in open seconds.

    ``free`` is what each waited though a place was free: for somebody, or to be
    fetched.  ``over`` is how long each lay on after it might have gone.  ``whole_s`` is
    all waiting.  ``free_still`` and ``over_still`` are those that go on now.
    """

    free: tuple[float, ...] = ()
    over: tuple[float, ...] = ()
    whole_s: float = 0.0
    free_still: tuple[float, ...] = ()
    over_still: tuple[float, ...] = ()

    @property
    def free_share(self) -> float | None:
        return sum(self.free) / self.whole_s if self.whole_s else None


def free_time(
    *, places: int, behind: Worked, done: Sequence[Done], there: Sequence[datetime]
) -> Free:
    """Go through a station's open time, and count while fewer lie there than may."""
    turns = [(behind.open_s(since), 1) for since in there]
    for one in done:
        start, end = behind.open_s(one.started_at), behind.open_s(one.finished_at)
        turns += [(start, 1), (end, -1)]
    turns.sort()
    busy, last, free = 0, 0.0, 0.0
    moments, until, goes_on = [], [], []
    for moment, step in turns:
        if busy < places:
            free += moment - last
        busy, last = busy + step, moment
        moments.append(moment)
        until.append(free)
        goes_on.append(busy < places)
    return Free(tuple(moments), tuple(until), tuple(goes_on), behind)


@dataclass(frozen=True, slots=True)
class Now:
    """What is at each station now: since when is it there, waits, or might go?

    What waits or might go is told with its turn.
    """

    there: Mapping[int, list[datetime]]
    waiting: Mapping[int, list[tuple[Turn, datetime]]]
    over: Mapping[int, list[tuple[Turn, datetime]]]


@dataclass(frozen=True, slots=True)
class There:
    """What was done at a station in a time, and what waits or might go there now."""

    free: Free
    done: Sequence[Done]
    waiting: Sequence[tuple[Turn, datetime]]
    over: Sequence[tuple[Turn, datetime]]

    def waits(self, at: datetime) -> Waits:
        """Tell all waits at a station."""
        return self._waits(self.done, self.waiting, self.over, at)

    def waits_by_turn(
        self, at: datetime, lately: datetime, enough: int
    ) -> Mapping[Turn, Waits]:
        """Tell the waits for each operation apart, of late alone where enough were."""
        done: dict[Turn, list[Done]] = defaultdict(list)
        for one in self.done:
            done[one.turn].append(one)
        for turn, some in done.items():
            last = [one for one in some if one.finished_at > lately]
            done[turn] = last if len(last) >= enough else some
        return {
            turn: self._waits(
                some,
                [one for one in self.waiting if one[0] == turn],
                [one for one in self.over if one[0] == turn],
                at,
            )
            for turn, some in done.items()
        }

    def _waits(
        self,
        done: Sequence[Done],
        waiting: Sequence[tuple[Turn, datetime]],
        over: Sequence[tuple[Turn, datetime]],
        at: datetime,
    ) -> Waits:
        return waits_of(
            done=done,
            free=self.free,
            waiting=[since for _, since in waiting],
            over=[since for _, since in over],
            at=at,
        )


def waits_of(
    *,
    done: Sequence[Done],
    free: Free,
    waiting: Iterable[datetime],
    over: Iterable[datetime],
    at: datetime,
) -> Waits:
    """Tell a station's waits one by one, and how long parts lay on."""
    behind = free.behind
    return Waits(
        free=tuple(free.between_s(one.may_start_at, one.started_at) for one in done),
        over=tuple(
            behind.between_s(one.may_go_at, one.finished_at)
            for one in done
            if one.may_go_at
        ),
        whole_s=sum(behind.between_s(one.may_start_at, one.started_at) for one in done),
        free_still=tuple(free.between_s(since, at) for since in waiting),
        over_still=tuple(behind.between_s(since, at) for since in over),
    )


def joined(several: Iterable[Waits]) -> Waits:
    """Put the waits of several stations together."""
    found = list(several)
    return Waits(
        tuple(chain.from_iterable(one.free for one in found)),
        tuple(chain.from_iterable(one.over for one in found)),
        sum(one.whole_s for one in found),
        tuple(chain.from_iterable(one.free_still for one in found)),
        tuple(chain.from_iterable(one.over_still for one in found)),
    )


def now(*, at: datetime, rooms: Collection[int]) -> Now:
    """Read what is at each station; wood in a room does not lie on before it is dry."""
    found = Now(defaultdict(list), defaultdict(list), defaultdict(list))
    rows = Step.objects.filter(state__in=ACTIVE).values_list(
        "state",
        "station_id",
        "at_station_id",
        "repeat",
        "operation__shortest_between_s",
        "ready_at",
        "started_at",
        "dwell_until",
        "operation__revision__model_id",
        "operation__branch",
        "operation__number",
    )
    for state, own, there, repeat, between, ready, started, until, *key in rows:
        turn: Turn = (tuple(key), repeat > 1)
        if state == StepState.READY and own and ready:
            rests = timedelta(seconds=between or 0 if repeat > 1 else 0)
            if ready + rests <= at:
                found.waiting[own].append((turn, ready + rests))
        elif there and started:
            found.there[there].append(started)
            if until and until <= at and there not in rooms:
                found.over[there].append((turn, until))
    return found
