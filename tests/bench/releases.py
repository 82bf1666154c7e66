"""Do planned releases hold what they say, under their limits, and how soon is one made?

Made floors are planned, then lived through with luck that the plan has not seen.
"""

import os
import time

import django

from tests.bench.ground import say
from tests.bench.table import row

FLOORS, FUTURES, OTHERS = 12, 400, 1000
MOST = 16


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    django.setup()
    import numpy as np

    from tests.planning.release_worlds import world
    from travelers.formulas import forecast as fc
    from travelers.planning.queries.release import planned

    planned(ground=world(0), seed=1, futures=1, rounds=1)  # compiles
    for certainty in (50, 80, 95):
        shares, passed, spent, orders = [], [], [], 0
        for seed in range(FLOORS):
            here = world(seed, certainty_pct=certainty, most=MOST)
            began = time.process_time()
            plan = planned(ground=here, seed=1, futures=FUTURES, rounds=4)
            spent.append(time.process_time() - began)
            own = plan.futures.orders_s()
            other = fc.simulate(plan.line, 1000 + seed, OTHERS).orders_s()
            for one in here.asked.orders:
                due = here.due_s(one)
                orders += 1
                if (own[one.number] <= due).mean() >= certainty / 100:
                    shares.append((other[one.number] <= due).mean())
            found = fc.stays(plan.line, 2000 + seed, 200)
            begins = np.array(
                [
                    here.start_s(plan.days.get(one.order, 0))
                    for one in plan.line.instruments
                ]
            )
            there = here.by_day(
                [np.stack([begins, ends], axis=1) for ends in found.finishes_s]
            )
            passed.append(float((there > MOST).mean(axis=0).max()))
        told = 100 * np.array(shares)
        kept = int((told >= certainty).sum())
        say(
            f"{certainty} of 100: {len(told)} of {orders} orders said to hold, "
            f"{kept} at least as often; the least in {told.min():.1f} of 100"
        )
        what = f"releases planned at {certainty} of 100"
        row(f"{what}: in time with other luck", told.mean(), "%", at_least=certainty)
        over = 100 * max(passed)
        worst = f"{what}: limit in work passed on the worst day"
        row(worst, over, "%", at_most=100 - certainty)
        plans, cost = f"{what}: a plan of {FUTURES} futures", float(np.median(spent))
        row(plans, cost, "s of a core", digits=2)


if __name__ == "__main__":
    main()
