"""What does a plan say, in a form that can be kept?"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import timedelta
from typing import Any

from travelers.formulas import forecast as fc
from travelers.planning.queries.forecast.to_come import ToCome
from travelers.planning.queries.release.ground import IN_WORK, LOOKED, Ground
from travelers.planning.queries.release.plan import Planned
from travelers.planning.rules import holds

# Floor and rooms are told for half a year, week by week.
WEEKS = 26
DAY_S = 86_400


@dataclass(frozen=True, slots=True)
class OrderTold:
    """An order of a plan: days as ISO 8601, lengths in days along its longest way."""

    order: str
    latest_on: str
    release_on: str
    by_on: tuple[str, ...]
    late_share: float
    lead_s: float
    holds: str
    held_by: str
    lies: float
    closed: float
    waits: float
    works: float


def told(*, ground: Ground, plan: Planned, seed: int) -> dict[str, Any]:
    """Say all that a page shows of a plan; what it gives can be kept as JSON."""
    names = {one.code: one.name for one in ground.floor.stations}
    return {
        "mark": ground.asked.mark,
        "orders": [asdict(_order(ground, plan, one)) for one in ground.asked.orders],
        "weeks": _weeks(ground, plan, seed) if plan.line.instruments else [],
        "rooms": {
            one.name: {"name": names[one.name], "places": one.most}
            for one in ground.limits
            if one.name != IN_WORK
        },
        "parts": len(plan.line.jobs),
        "learned_of": ground.learned.of,
    }


def _order(ground: Ground, plan: Planned, order: ToCome) -> OrderTold:
    name, start = order.number, plan.starts[order.number]
    late, spent = 1.0, fc.TimeSpent(0, 0, 0, 0, 0, 0)
    by: tuple[str, ...] = ()
    if start.day is not None:
        moments = plan.futures.orders_s()[name]
        late = ground.late_share(moments, ground.due_s(order))
        by = tuple(
            ground.day_of(one).isoformat() for one in ground.by_s(moments, fc.ODDS)
        )
        ways = plan.futures.ways()
        spent = max(
            (ways[one] for one in order.names),
            key=lambda one: sum(asdict(one).values()),
        )
    return OrderTold(
        name,
        ground.day(_opened(ground, plan.latest[name])).isoformat(),
        "" if start.day is None else ground.day(start.day).isoformat(),
        by,
        late,
        plan.leads_s[name],
        str(
            holds(
                start=start.day,
                alone=plan.alone[name],
                held_by=start.held_by,
                late_share=late,
                certainty=ground.asked.certainty,
            )
        ),
        start.held_by,
        spent.dwell_s / DAY_S,
        spent.closed_s / DAY_S,
        spent.station_s / DAY_S,
        spent.work_s / DAY_S,
    )


def _opened(ground: Ground, day: int) -> int:
    """Give the day, or the last one before it on which something can be started."""
    opened = ground.open_days
    while 0 < day < len(opened) and not opened[day]:
        day -= 1
    return day


def _weeks(ground: Ground, plan: Planned, seed: int) -> list[dict[str, Any]]:
    """Say week by week what is in work and what lies in the rooms, as planned.

    Of each a mean, and what it is at the most in as many futures as the certainty says.
    """
    import numpy as np

    found = fc.stays(plan.line, seed, LOOKED, ground.rooms)
    begins = np.array(
        [ground.start_s(plan.days.get(one.order, 0)) for one in plan.line.instruments]
    )
    there = {
        IN_WORK: ground.by_day(
            [np.stack([begins, one], axis=1) for one in found.finishes_s]
        )
    }
    there |= {room: ground.by_day(found.lain_s[room]) for room in ground.rooms}
    return [_week(ground, there, 7 * n) for n in range(WEEKS + 1)]


def _week(ground: Ground, there: Mapping[str, Any], day: int) -> dict[str, Any]:
    import numpy as np

    sure = ground.asked.certainty

    def said(counts: Any) -> tuple[float, int]:
        high = np.quantile(counts[:, day], sure, method="higher")
        return round(float(counts[:, day].mean()), 1), int(high)

    return {
        "day": (ground.today + timedelta(days=day)).isoformat(),
        "in_work": said(there[IN_WORK]),
        "rooms": {room: said(there[room]) for room in ground.rooms},
    }
