"""Which histories could a workshop have had, with a cause of defects and without?"""

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from travelers.formulas.association import Suspect, in_common

Candidate = tuple[str, str]

BASE_SHARE, CAUSE_SIZE = 0.03, 12


@dataclass(frozen=True, slots=True)
class History:
    """Instruments in the order they were built, and what each of them met."""

    groups: dict[Any, list[int]]
    parents: dict[Any, Any]
    is_case: list[bool]
    cause: Candidate | None


@dataclass(slots=True)
class _Shop:
    """The groups as they come together; every kind is cut from one order of work."""

    chance: np.random.Generator
    count: int
    groups: dict[Candidate, list[int]] = field(default_factory=dict)
    parents: dict[Hashable, Hashable] = field(default_factory=dict)

    def order(self, shuffled_by: float) -> Any:
        """Give the order in which work came to a station: nearly that of building."""
        steps = self.chance.normal(0, shuffled_by, self.count)
        return np.argsort(np.arange(self.count) + steps)

    def runs(self, total: int, least: int, most: int, *, first: int = 0) -> Any:
        """Cut a row of so many into runs, one of which may have a size of its own."""
        sizes: list[int] = []
        while sum(sizes) < total - first:
            sizes.append(int(self.chance.integers(least, most + 1)))
        if first:
            sizes.insert(int(self.chance.integers(0, len(sizes))), first)
        ends = np.minimum(np.cumsum(sizes), total)
        return [(a, b) for a, b in zip([0, *ends[:-1]], ends, strict=True) if b > a]

    def batches(
        self, kind: str, order: Any, least: int, most: int, *, first: int = 0
    ) -> None:
        """Put what comes one after another into batches."""
        runs = self.runs(self.count, least, most, first=first)
        for number, (start, end) in enumerate(runs):
            self.groups[kind, f"{number:03}"] = order[start:end].tolist()

    def wood(self, kind: str, order: Any) -> None:
        """Cut deliveries into planks and planks into sets, one within the other."""
        deliveries = self.runs(self.count, 30, 60, first=CAUSE_SIZE)
        for one, (start, end) in enumerate(deliveries):
            delivery = (f"{kind} DELIVERY", f"D{one:02}")
            self.groups[delivery] = order[start:end].tolist()
            for two, (a, b) in enumerate(self.runs(end - start, 4, 12)):
                plank = (f"{kind} PLANK", f"D{one:02}-{two:02}")
                self.groups[plank] = order[start + a : start + b].tolist()
                self.parents[plank] = delivery
                for three, (c, d) in enumerate(self.runs(b - a, 2, 5)):
                    pieces = (f"{kind} SET", f"D{one:02}-{two:02}-{three:02}")
                    self.groups[pieces] = order[start + a + c : start + a + d].tolist()
                    self.parents[pieces] = plank

    def places(self, kind: str, count: int) -> None:
        """Send each to one of several benches or gauges, and a few to a spare one."""
        place = self.chance.integers(0, count, self.count)
        place[self.chance.choice(self.count, CAUSE_SIZE, replace=False)] = count
        for number in range(count + 1):
            members = np.flatnonzero(place == number).tolist()
            self.groups[kind, f"{number}"] = members


def history(
    seed: int, instruments: int = 300, *, caused_share: float | None = None
) -> History:
    """Draw a history: with 300 instruments it has about 350 candidates.

    Wood comes in deliveries of 30 to 60 instruments, planks of 4 to 12 and sets of 2 to
    5, loads of 5 to 15; there are batches of glue and lacquer, weeks, cutters, benches,
    gauges and revisions. In every kind that has no group of 12 by itself one comes
    about: a small delivery, a spare bench, a cutter that broke, a trial. With a share
    asked for, one of those of 12 causes it among its members, every kind as likely as
    any other; without, 3 % of all are defective and nothing is the cause.
    """
    shop = _Shop(np.random.default_rng([seed, instruments]), instruments)
    wood = shop.order(6)
    shop.wood("BODY", wood)
    shop.batches("FINGERBOARD PLANK", shop.order(6), 6, 12)
    dried = wood[shop.order(3)]
    shop.batches("DRYING LOAD", dried, 5, 15)
    shop.batches("GLUE BATCH", shop.order(2), 6, 14)
    shop.batches("LACQUER BATCH", shop.order(4), 6, 16)
    shop.batches("WEEK", shop.order(0), 8, 12)
    for cutter in ("ROUTER CUTTER", "FRET SAW"):
        shop.batches(cutter, shop.order(1), 25, 60, first=CAUSE_SIZE)
    most = max(40, instruments // 3)
    shop.batches("REVISION", shop.order(2), 40, most, first=CAUSE_SIZE)
    for kind, count in (
        ("ROUTING", 2),
        ("GLUING", 3),
        ("FRETTING", 3),
        ("SPRAYING", 2),
    ):
        shop.places(f"{kind} BENCH", count)
    for kind in ("MOISTURE GAUGE", "CALLIPER"):
        shop.places(kind, 3)
    share, cause = np.full(instruments, BASE_SHARE), None
    if caused_share is not None:
        cause = _one_of_twelve(shop)
        share[shop.groups[cause]] = caused_share
    is_case = shop.chance.random(instruments) < share
    return History(shop.groups, shop.parents, is_case.tolist(), cause)


def _one_of_twelve(shop: _Shop) -> Candidate:
    fitting: dict[str, list[Candidate]] = {}
    for candidate, members in shop.groups.items():
        if len(members) == CAUSE_SIZE:
            fitting.setdefault(candidate[0], []).append(candidate)
    kinds = sorted(fitting)
    among = fitting[kinds[shop.chance.integers(len(kinds))]]
    return among[shop.chance.integers(len(among))]


def with_cause(
    seed: int, kind: str, caused_share: float, *, least: int, instruments: int = 300
) -> History:
    """Draw a history in which one of a kind, with so many members or more, is bad."""
    drawn = history(seed, instruments)
    chance = np.random.default_rng([seed, instruments, least])
    large = [
        candidate
        for candidate, members in drawn.groups.items()
        if candidate[0] == kind and len(members) >= least
    ]
    cause = large[chance.integers(len(large))]
    share = np.full(instruments, BASE_SHARE)
    share[drawn.groups[cause]] = caused_share
    is_case = chance.random(instruments) < share
    return replace(drawn, is_case=is_case.tolist(), cause=cause)


def false_alarms(seeds: Iterable[int], instruments: int = 300) -> tuple[int, int]:
    """Count histories without a cause in which something stands out all the same.

    The first count is by the adjusted p that the ranking goes by, the second by Holm's
    over all candidates.
    """
    adjusted = plain = 0
    for seed in seeds:
        drawn = history(seed, instruments)
        found = in_common(drawn.groups, drawn.is_case, parents=drawn.parents)
        adjusted += found.anything_stands_out
        plain += any(one.holm_p < found.level for one in found.suspects)
    return adjusted, plain


@dataclass(slots=True)
class Found:
    """In how many histories with a cause it was found; aliases count.

    ``guessed`` is what a guess finds that is told both shares of defects, and
    ``guessed_of_twelve`` one that is told, too, that the cause has 12 members: no rule
    that is told less can be expected to find more.
    """

    histories: int = 0
    first: int = 0
    among_three: int = 0
    stands_out: int = 0
    leads: int = 0
    anything: int = 0
    guessed: float = 0.0
    guessed_of_twelve: float = 0.0


def found_causes(
    seeds: Iterable[int], caused_share: float, instruments: int = 300
) -> Found:
    """Plant a cause in each of many histories, and count how often it is found."""
    told = Found()
    for seed in seeds:
        drawn = history(seed, instruments, caused_share=caused_share)
        found = in_common(drawn.groups, drawn.is_case, parents=drawn.parents)
        suspects = found.suspects
        place, true = next(
            (n, one) for n, one in enumerate(suspects) if drawn.cause in one.candidates
        )
        told.histories += 1
        told.first += place == 0
        told.among_three += place < 3
        told.stands_out += true.stands_out
        told.leads += true in found.leading
        told.anything += found.anything_stands_out
        told.guessed += _guess(suspects, true, caused_share)
        of_twelve = [
            one for one in suspects if one.cases_in + one.rest_in == CAUSE_SIZE
        ]
        told.guessed_of_twelve += _guess(of_twelve, true, caused_share)
    return told


def _guess(suspects: Sequence[Suspect], true: Suspect, caused_share: float) -> float:
    """Guess by the likelihood ratio; of several as likely each is guessed as often."""
    case = math.log(caused_share / BASE_SHARE)
    rest = math.log((1 - caused_share) / (1 - BASE_SHARE))
    score = {
        one.candidates: one.cases_in * case + one.rest_in * rest for one in suspects
    }
    best = max(score.values()) - 1e-9
    among = [candidates for candidates, one in score.items() if one >= best]
    return (true.candidates in among) / len(among)
