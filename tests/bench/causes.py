"""Is a planted cause found, and is chance called a cause?

In drawn histories, where a cause and its rate are known, and in a lived one: the demo
without a hidden cause, whose instruments met what they met, with defects drawn anew for
each seed. An oracle that is told both rates stands beside the ranking; nobody who is
told less can be expected to find more.
"""

import os
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from tests.bench.ground import database, say
from tests.bench.table import row, tried

SEEDS, NULLS = 200, 1_000
KINDS, LEVEL = 8, 0.05
# Each kind of thing that can be planted, and how many must have met it at the least.
# Its planks are of four bodies, its loads of few, its cans of some forty.
PLANTED = {
    "DELIVERY": 8,
    "PLANK": 4,
    "LOAD": 3,
    "BATCH": 8,
    "CUTTER": 8,
    "GAUGE": 8,
}
SHARES = (0.3, 0.5, 0.7)
# How often of 100 a cause is to be named first.
AIMED = {0.3: 90.0}
BASE = 0.03
# A lived history has few groups of just twelve.
LEAST, MOST = 10, 15
NOW = datetime(2026, 11, 18, 12, 40, tzinfo=UTC)


def main() -> None:
    tried("drawn histories", _drawn)
    with database():
        lived = _lived()
    tried("planted causes in a lived history", lambda: _planted(lived))
    tried("no cause in a lived history", lambda: _null(lived))


def _drawn() -> None:
    from tests.formulas.association_worlds import false_alarms, found_causes

    for share in SHARES:
        told = found_causes(range(SEEDS), share)
        what = f"drawn, 3 % and {share:.0%} on the 12 of the cause"
        say(f"{what}: the oracle first in {told.guessed / SEEDS:.1%}")
        first, three = (100 * one / SEEDS for one in (told.first, told.among_three))
        row(f"{what}: named first", first, "% of histories", at_least=AIMED.get(share))
        row(f"{what}: among three", three, "% of histories")
    alarms, _ = false_alarms(range(NULLS))
    what = "drawn, no cause: anything stands out"
    row(what, 100 * alarms / NULLS, "% of histories", at_most=5)


@dataclass(frozen=True)
class Lived:
    """What met what in a lived history, and in which strata the bodies are."""

    groups: Mapping[Any, Collection[int]]
    parents: Mapping[Any, Any]
    strata: list[int]

    @property
    def count(self) -> int:
        return len(self.strata)

    def ranked(self, is_case: list[bool]) -> Any:
        from travelers.formulas.association import in_common

        return in_common(self.groups, is_case, parents=self.parents, strata=self.strata)


def _lived() -> Lived:
    """Let the demo live without a cause, and say what bodies met that were cut."""
    from django.utils import timezone

    from travelers.demo.actions import load_demo
    from travelers.demo.rules.planting import SHOWS, Bad, Cause
    from travelers.orders.models import Step
    from travelers.quality.queries.comparable import Comparable, Compared, Stratum
    from travelers.quality.queries.exposure import things_met

    load_demo(seed=7, instruments=176, now=NOW, cause=Cause(Bad.NOTHING, 1.0))
    _asked_of_all()
    (name,) = SHOWS[Bad.CUTTER][1]
    done = Step.objects.filter(operation__name=name, state="DONE", turn=0)
    compared = tuple(
        Compared(instrument, part, Stratum(model, "BODY", 0), False, at)
        for instrument, part, model, at in done.order_by("pk").values_list(
            "instrument_id", "part_id", "operation__revision__model", "finished_at"
        )
        if at
    )
    models = sorted({one.stratum for one in compared})
    among = Comparable(compared, dict.fromkeys(models, frozenset()), 0)
    met = things_met(among=among, zone=timezone.get_default_timezone())
    say(f"lived: {len(compared)} bodies, {len(met.groups)} candidates")
    strata = [models.index(one.stratum) for one in compared]
    return Lived(met.groups, met.parents, strata)


def _asked_of_all() -> None:
    """Ask the page of every kind of defect in the history without a cause."""
    from django.utils import timezone

    from travelers.quality.queries import Question, common_page

    zone = timezone.get_default_timezone()
    since, until = NOW.date() - timedelta(days=182), NOW.date()
    kinds = common_page(question=None, zone=zone).kinds
    pages = [
        common_page(question=Question(one.code, since, until), zone=zone)
        for one in kinds
    ]
    ranked = [one for one in pages if one.is_ranked]
    least = min(row.adjusted_p for one in ranked for row in one.rows)
    out = sum(bool(one.leading) for one in ranked)
    what = f"the demo without a cause, of {len(ranked)} kinds asked stand out"
    row(what, out, digits=0, at_most=0)
    say(f"least adjusted p {least:.2f}")


def _planted(lived: Lived) -> None:
    sized = [
        (one, own)
        for one, own in lived.groups.items()
        if LEAST <= len(own) <= MOST and one.factor in PLANTED
    ]
    _found(lived, sized, f"any of {LEAST} to {MOST}")
    for factor, least in PLANTED.items():
        _found(
            lived,
            [
                (one, own)
                for one, own in lived.groups.items()
                if one.factor == factor and least <= len(own) <= lived.count / 2
            ],
            factor.lower(),
        )


def _found(lived: Lived, causes: list[Any], name: str) -> None:
    """Draw defects anew with one of the causes bad, and say how often it is named."""
    import numpy as np

    if not causes:
        say(f"lived, {name}: none has met so many")
        return
    causes.sort(key=lambda each: (each[0].factor, each[0].id))
    told = []
    for share in SHARES:
        first = three = 0
        for seed in range(SEEDS):
            chance = np.random.default_rng([seed, round(100 * share)])
            cause, own = causes[chance.integers(len(causes))]
            rates = np.full(lived.count, BASE)
            rates[list(own)] = share
            is_case = (chance.random(len(rates)) < rates).tolist()
            place = _place(lived.ranked(is_case), cause)
            first, three = first + (place == 0), three + (place < 3)
        told.append(f"{share:.0%}: {first / SEEDS:.1%}, {three / SEEDS:.1%}")
        if share == SHARES[0]:
            what = f"lived, {name}, 3 % and {share:.0%} on the cause: named first"
            row(what, 100 * first / SEEDS, "% of histories")
    sizes = sorted(len(own) for _, own in causes)
    say(
        f"lived, {name} ({len(causes)}, met by {sizes[0]} to {sizes[-1]}), first and "
        f"among three, 3 % to {'; '.join(told)}"
    )


def _place(found: Any, cause: Any) -> int:
    suspects: Sequence[Any] = found.suspects
    places = (n for n, one in enumerate(suspects) if cause in one.candidates)
    # What all of its model met is not asked of, and so not found.
    return next(places, len(suspects))


def _null(lived: Lived) -> None:
    import numpy as np

    least = []
    for seed in range(NULLS):
        chance = np.random.default_rng([seed, 1])
        is_case = (chance.random(lived.count) < 2 * BASE).tolist()
        found = lived.ranked(is_case)
        least.append(min((one.adjusted_p for one in found.suspects), default=1.0))
    p = np.array(least)
    what = "lived, no cause: anything stands out"
    row(what, 100 * float(np.mean(p <= LEVEL)), "% of histories", at_most=5)
    # Whoever looks for causes asks of one kind of defect after another.
    p = p[: NULLS // KINDS * KINDS].reshape(-1, KINDS).min(axis=1)
    say(f"{KINDS} kinds asked: {np.mean(p <= LEVEL):.1%} if each stood alone")
    what = f"lived, no cause, {KINDS} kinds asked as the page counts"
    counted = 100 * float(np.mean(p <= LEVEL / KINDS))
    row(what, counted, "% of histories", at_most=5)


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main()
