"""When is which order released, so that it is finished by its day?"""

from collections.abc import Mapping
from dataclasses import dataclass

from travelers.formulas import forecast as fc
from travelers.formulas.releasing import Start, Wanted, starts
from travelers.planning.queries.release.ground import Ground

# A plan is mended in so many futures at the most, before all are lived through.
MENDED = 200


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
       is its latest start.  Here and below the ground says at which of the futures
       that certainty lies, by what came of earlier ones.
    2. By latest start each is given the latest day on which floor and rooms have room
       for it, or the next one after it (:func:`travelers.formulas.releasing.starts`).
    3. The whole floor is lived through with this plan.  An order that comes too late
       must start so much sooner; then again from 2, so many times.
    4. Of all that was tried, what leaves the fewest orders late is the plan; of these
       what is the least late.
    5. It is mended in few futures; then all are lived through, and what they show to be
       late is mended once more.

    ``leads_s`` begins with what a plan before this one learned.
    """
    orders = {one.number: one for one in ground.asked.orders}
    own = {name: ground.lead_s(one) for name, one in orders.items()}
    mending = _Mending(
        ground,
        seed,
        {name: ground.latest(orders[name], lead) for name, lead in own.items()},
    )
    known = leads_s or {}
    leads = {name: max(lead, known.get(name, 0.0)) for name, lead in own.items()}
    plan = mending.best(leads, min(futures, MENDED), rounds)
    return mending.best(plan.leads_s, futures, 2) if futures > MENDED else plan


@dataclass(frozen=True, slots=True)
class _Mending:
    """Tries plans; ``alone`` is each order's latest day if nothing else were there."""

    ground: Ground
    seed: int
    alone: Mapping[str, int]

    def best(self, leads_s: Mapping[str, float], futures: int, rounds: int) -> Planned:
        """Plan and mend so many times; give what leaves the fewest orders late."""
        leads = dict(leads_s)
        tried: list[tuple[tuple[int, float], Planned]] = []
        for _ in range(rounds):
            plan = self._tried(leads, futures)
            over = self._over_s(plan)
            tried.append(((len(over), sum(over.values())), plan))
            sooner = {
                name: much
                for name, much in over.items()
                if 0 < plan.days[name] <= plan.latest[name]
            }
            if not sooner:
                break
            for name, much in sooner.items():
                leads[name] += much
        return min(tried, key=lambda one: one[0])[1]

    def _tried(self, leads_s: Mapping[str, float], futures: int) -> Planned:
        """Give all orders their days, and live through the floor with these."""
        here = self.ground
        latest = {
            one.number: here.latest(one, leads_s[one.number])
            for one in here.asked.orders
        }
        found = starts(
            [Wanted(name, day, here.alone[name].uses) for name, day in latest.items()],
            here.limits,
            certainty=here.asked.certainty,
            open_days=here.open_days,
        )
        days = {name: one.day for name, one in found.items() if one.day is not None}
        line = here.line(days, days)
        lived = fc.simulate(line, self.seed, futures)
        return Planned(found, dict(leads_s), self.alone, latest, line, lived)

    def _over_s(self, plan: Planned) -> dict[str, float]:
        """Say by how much orders are late at the certainty asked for."""
        here, moments = self.ground, plan.futures.orders_s()
        over = {
            one.number: here.by_s(moments[one.number], [here.asked.certainty])[0]
            - here.due_s(one)
            for one in here.asked.orders
            if one.number in plan.days
        }
        return {name: much for name, much in over.items() if much > 0}
