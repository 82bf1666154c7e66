"""Is a planted cause found, and is chance called a cause?

In drawn histories, where a cause and its rate are known, and in a lived one: the demo
without a hidden cause, whose instruments met what they met, with defects drawn anew for
each seed. An oracle that is told both rates stands beside the ranking; nobody who is
told less can be expected to find more.
"""

import os
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from tests.bench.ground import database, say

SEEDS, NULLS = 200, 1_000
KINDS, LEVEL = 8, 0.05
SHARES = (0.3, 0.5, 0.7)
BASE = 0.03
# A lived history has few groups of just twelve.
LEAST, MOST = 10, 15
NOW = datetime(2026, 11, 18, 12, 40, tzinfo=UTC)


def main() -> None:
    _drawn()
    with database():
        met = _lived()
    _planted(met)
    _null(met)


def _drawn() -> None:
    from tests.formulas.association_worlds import false_alarms, found_causes

    for share in SHARES:
        told = found_causes(range(SEEDS), share)
        say(
            f"drawn, 3 % to {share:.0%} on 12: first {told.first / SEEDS:.1%}, among "
            f"three {told.among_three / SEEDS:.1%}; the oracle first "
            f"{told.guessed / SEEDS:.1%} (aim at 30 %: 90)"
        )
    alarms, _ = false_alarms(range(NULLS))
    say(f"drawn, no cause: anything stands out {alarms / NULLS:.1%} (aim: at most 5)")


def _lived() -> Any:
    """Let the demo live without a cause, and say what met what before machining."""
    from django.utils import timezone

    from travelers.demo.actions import load_demo
    from travelers.demo.rules.planting import GLUED, Bad, Cause
    from travelers.orders.models import Step
    from travelers.quality.queries.comparable import things_met

    load_demo(seed=7, instruments=176, now=NOW, cause=Cause(Bad.NOTHING, 1.0))
    done = Step.objects.filter(operation__name=GLUED[-1], state="DONE")
    until = dict(
        done.order_by("-finished_at").values_list("instrument_id", "finished_at")
    )
    met = things_met(until=until, zone=timezone.get_default_timezone())
    say(f"lived: {len(met.instruments)} bodies, {len(met.groups)} candidates")
    return met


def _planted(met: Any) -> None:
    import numpy as np

    from travelers.formulas.association import in_common

    fitting = sorted(
        (one for one, own in met.groups.items() if LEAST <= len(own) <= MOST),
        key=lambda one: (one.factor, one.id),
    )
    for share in SHARES:
        first = three = 0
        for seed in range(SEEDS):
            chance = np.random.default_rng([seed, round(100 * share)])
            cause = fitting[chance.integers(len(fitting))]
            rates = np.full(len(met.instruments), BASE)
            rates[list(met.groups[cause])] = share
            is_case = (chance.random(len(rates)) < rates).tolist()
            place = _place(in_common(met.groups, is_case, parents=met.parents), cause)
            first += place == 0
            three += place < 3
        say(
            f"lived, 3 % to {share:.0%} on {LEAST} to {MOST}: first "
            f"{first / SEEDS:.1%}, among three {three / SEEDS:.1%}, of "
            f"{len(fitting)} causes"
        )


def _place(found: Any, cause: Any) -> int:
    suspects: Sequence[Any] = found.suspects
    return next(n for n, one in enumerate(suspects) if cause in one.candidates)


def _null(met: Any) -> None:
    import numpy as np

    from travelers.formulas.association import in_common

    least = []
    for seed in range(NULLS):
        chance = np.random.default_rng([seed, 1])
        is_case = (chance.random(len(met.instruments)) < 2 * BASE).tolist()
        found = in_common(met.groups, is_case, parents=met.parents)
        least.append(min((one.adjusted_p for one in found.suspects), default=1.0))
    p = np.array(least)
    say(f"lived, no cause: anything stands out {np.mean(p <= LEVEL):.1%} (aim: 5)")
    # Whoever looks for causes asks of one kind of defect after another.
    p = p[: NULLS // KINDS * KINDS].reshape(-1, KINDS).min(axis=1)
    say(
        f"lived, no cause, {KINDS} kinds asked: {np.mean(p <= LEVEL):.1%} if each "
        f"stood alone, {np.mean(p <= LEVEL / KINDS):.1%} as the page counts (aim: 5)"
    )


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main()
