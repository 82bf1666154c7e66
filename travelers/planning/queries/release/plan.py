"""When is which order released, so that it is finished by its day?"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from travelers.formulas import forecast as fc
from travelers.formulas.releasing import Start, Wanted, starts
from travelers.planning.queries.release.ground import Ground


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """A plan that was lived through.

    ``leads_s`` says how long before its due day each order must start on this floor;
    ``alone`` its latest day if nothing else were there, ``latest`` as the floor is.
    """

    starts: Mapping[str, Start]
    leads_s: Mapping[str, float]
    alone: Mapping[str, int]
    latest: Mapping[str, int]
    line: fc.Line
    futures: fc.Futures

    @property
    def days(self) -> dict[str, int]:
        """Give the day of each order that has one."""
        return {
            name: one.day for name, one in self.starts.items() if one.day is not None
        }


def planned(
    *,
    ground: Ground,
    seed: int,
    futures: int,
    rounds: int,
    leads_s: Mapping[str, float] | None = None,
) -> Planned:
    """Plan from the due days backward, then live through it and mend it.

    1. Each order alone: its longest way, with dwells, gaps and waits as they were seen,
       in many futures.  What it takes at the certainty asked for, before its due day,
       is its latest start.
    2. By latest start each is given the latest day on which floor and rooms have room
       for it, or the next one after it (:func:`travelers.formulas.releasing.starts`).
    3. The whole floor is lived through with this plan.  An order that comes too late
       must start so much sooner; then again from 2, so many times.
    4. Of all that was tried, what leaves the fewest orders late is the plan; of these
       what is the least late.

    ``leads_s`` begins with what a plan before this one learned.
    """
    orders = {one.number: one for one in ground.asked.orders}
    sure = ground.asked.certainty
    own = {name: one.lead_s(sure) for name, one in ground.alone.items()}
    alone = {name: ground.latest(orders[name], lead) for name, lead in own.items()}
    leads = {
        name: max(lead, (leads_s or {}).get(name, 0)) for name, lead in own.items()
    }
    tried: list[tuple[tuple[int, float], Planned]] = []
    for _ in range(rounds):
        latest = {name: ground.latest(orders[name], leads[name]) for name in orders}
        found = starts(
            [Wanted(name, latest[name], ground.alone[name].uses) for name in orders],
            ground.limits,
            certainty=sure,
            open_days=ground.open_days,
        )
        plan = _lived(ground, found, (dict(leads), alone, latest), seed, futures)
        over = _over_s(plan, ground)
        tried.append(((len(over), sum(over.values())), plan))
        sooner = {
            name: much
            for name, much in over.items()
            if 0 < (found[name].day or 0) <= latest[name]
        }
        if not sooner:
            break
        for name, much in sooner.items():
            leads[name] += much
    return min(tried, key=lambda one: one[0])[1]


def _lived(
    ground: Ground, found: Mapping[str, Start], told: Any, seed: int, futures: int
) -> Planned:
    """Live through the floor with all orders that have a day."""
    days = {name: one.day for name, one in found.items() if one.day is not None}
    line = ground.line(days, days)
    leads, alone, latest = told
    return Planned(found, leads, alone, latest, line, fc.simulate(line, seed, futures))


def _over_s(plan: Planned, ground: Ground) -> dict[str, float]:
    """Say by how much orders are late at the certainty asked for."""
    at = plan.futures.order_quantiles_s([ground.asked.certainty])
    due = {one.number: ground.due_s(one) for one in ground.asked.orders}
    return {
        name: at[name][0] - due[name] for name in plan.days if at[name][0] > due[name]
    }
