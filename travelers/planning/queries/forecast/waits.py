"""How long do parts wait at a station, and how much of it though a place is free?"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain

from travelers.kit.fields import written
from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.planning.queries.forecast.calendar import Worked
from travelers.planning.queries.forecast.done import Done

THERE = (written(StepState.RUNNING), written(StepState.DWELLING))


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
    all waiting.
    """

    free: tuple[float, ...] = ()
    over: tuple[float, ...] = ()
    whole_s: float = 0.0

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


def waits_of(*, done: Sequence[Done], free: Free) -> Waits:
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
    )


def joined(several: Iterable[Waits]) -> Waits:
    """Put the waits of several stations together."""
    found = list(several)
    return Waits(
        tuple(chain.from_iterable(one.free for one in found)),
        tuple(chain.from_iterable(one.over for one in found)),
        sum(one.whole_s for one in found),
    )


def there_since() -> dict[int, list[datetime]]:
    """Say since when parts are at each station now."""
    found: dict[int, list[datetime]] = defaultdict(list)
    rows = Step.objects.filter(
        state__in=THERE, started_at__isnull=False, at_station__isnull=False
    )
    for station, since in rows.values_list("at_station_id", "started_at"):
        if station and since:
            found[station].append(since)
    return found
