"""How many came to a stage, went and lay there, day by day?  Pure."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from travelers.planning.rules.visits import Visit
from travelers.routes.rules import Branch

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Place:
    """A stage and a branch; None stands for instruments as one thing."""

    stage_id: int
    branch: Branch | None


@dataclass(slots=True)
class Count:
    """What moved at a place on a day, and what lay there as the day ended.

    ``entered`` of those that came were on the floor nowhere before, ``left`` of those
    that went nowhere after.
    """

    came: int = 0
    entered: int = 0
    went: int = 0
    left: int = 0
    lay: int = 0

    @property
    def is_nothing(self) -> bool:
        return not (self.came or self.went or self.lay)


def count(
    visits: Iterable[Visit], first: date, last: date, zone: ZoneInfo
) -> dict[tuple[date, Place], Count]:
    """Count visits over the days from ``first`` to ``last``; empty places are left out.

    What came and went again on one day is counted both times.
    """
    moved: dict[Place, dict[date, Count]] = defaultdict(lambda: defaultdict(Count))
    more: dict[Place, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    for one in visits:
        came = _day(one.since, zone)
        went = _day(one.until, zone) if one.until else None
        if came > last or (went and went < first):
            continue
        place = Place(one.stage_id, one.branch)
        more[place][max(came, first)] += 1
        if came >= first:
            moved[place][came].came += 1
            moved[place][came].entered += one.is_new
        if went and went <= last:
            more[place][went] -= 1
            moved[place][went].went += 1
            moved[place][went].left += one.is_last
    return {
        (day, place): one
        for place, changes in more.items()
        for day, one in _filled(changes, moved[place], last)
        if not one.is_nothing
    }


def _filled(
    changes: Mapping[date, int], moved: Mapping[date, Count], last: date
) -> Iterator[tuple[date, Count]]:
    """Say day by day what lay at a place; not where nothing did, until it changes."""
    lay = 0
    changed = sorted(changes)
    for day, after in zip(changed, [*changed[1:], last + DAY], strict=True):
        lay += changes[day]
        own = moved.get(day, Count())
        own.lay = lay
        yield day, own
        for rest in days(day + DAY, after - DAY) if lay else ():
            yield rest, Count(lay=lay)


def days(first: date, last: date) -> Iterable[date]:
    """Give each day from the first to the last; none where that is before."""
    return (first + n * DAY for n in range((last - first).days + 1))


def _day(at: datetime, zone: ZoneInfo) -> date:
    return at.astimezone(zone).date()
