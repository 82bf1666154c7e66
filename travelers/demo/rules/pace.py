"""How long does a hand do other things between two jobs, so that work queues?"""

from collections import defaultdict
from collections.abc import Mapping
from datetime import timedelta

from travelers.demo.rules.crew import Job
from travelers.routes.rules import OperationKind, Route

# A hand is at work or pausing so much of its shift; the rest it has nothing to do.
BUSY = 0.80
SHIFT_S = 8.5 * 3600
# Work takes a little longer than planned, and rework brings some of it twice.
LONGER, TWICE = 1.3, 1.08
LONGEST_PAUSE = timedelta(hours=6)


def pauses(
    *,
    hands: Mapping[str, Job],
    routes: Mapping[str, tuple[float, Route]],
    stations: Mapping[int, str],
    per_workday: float,
) -> dict[str, timedelta]:
    """Give each hand's usual pause.

    ``routes`` holds each model's share of the instruments and its route;
    ``stations`` the station of each operation that is done at one.
    """
    jobs, work = _load(routes, stations)
    return {
        name: _pause(hand, hands, jobs, work, per_workday)
        for name, hand in hands.items()
    }


def _load(
    routes: Mapping[str, tuple[float, Route]], stations: Mapping[int, str]
) -> tuple[dict[str, float], dict[str, float]]:
    """Count jobs and seconds of work that an average instrument brings a station."""
    jobs: dict[str, float] = defaultdict(float)
    work: dict[str, float] = defaultdict(float)
    for share, route in routes.values():
        for line in route.lines:
            if line.kind is OperationKind.HOLD or line.id not in stations:
                continue
            code = stations[line.id]
            jobs[code] += share * line.times
            work[code] += share * line.times * line.planned.total_seconds()
    return jobs, work


def _pause(
    hand: Job,
    hands: Mapping[str, Job],
    jobs: Mapping[str, float],
    work: Mapping[str, float],
    per_workday: float,
) -> timedelta:
    """Share a station's jobs among its hands and spread them over the busy time."""
    count = seconds = 0.0
    for code in hand.stations:
        served_by = sum(code in other.stations for other in hands.values())
        count += jobs.get(code, 0) / served_by
        seconds += work.get(code, 0) / served_by
    if not count:
        return timedelta(minutes=5)
    daily = count * per_workday * TWICE * 5 / len(hand.days)
    each = BUSY * SHIFT_S / daily - LONGER * seconds / count
    return min(LONGEST_PAUSE, max(timedelta(minutes=3), timedelta(seconds=each)))
