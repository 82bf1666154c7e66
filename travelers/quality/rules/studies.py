"""In which order is a gauge study measured, and what does its result say?"""

from enum import StrEnum
from random import Random

from travelers.kit.refusals import gettext_noop, refusal

# From how few to how many; fewer tell nothing, more nobody measures.
STUDY_PARTS, STUDY_PEOPLE, STUDY_TRIALS = (2, 30), (2, 5), (2, 5)
# Of the tolerance, in percent: a gauge is good below the first, and cannot judge above
# the second (AIAG, Measurement Systems Analysis, as quoted in public).
GOOD_PCT, LIMIT_PCT = 10.0, 30.0


class Fitness(StrEnum):
    """What a gauge can do with a tolerance."""

    GOOD = "GAUGE_GOOD"
    MAY_DO = "GAUGE_MAY_DO"
    UNFIT = "GAUGE_UNFIT"


def fitness(gauge_pct: float) -> Fitness:
    """Judge a gauge by how much of the tolerance its own spread takes."""
    if gauge_pct <= GOOD_PCT:
        return Fitness.GOOD
    return Fitness.MAY_DO if gauge_pct <= LIMIT_PCT else Fitness.UNFIT


def order_of(study: int, person: int, trial: int, parts: int) -> tuple[int, ...]:
    """Say in which order somebody measures the parts at a trial: by lot, but the same.

    Who knows which part comes next remembers what it measured the last time.
    """
    numbers = list(range(1, parts + 1))
    Random(f"{study} {person} {trial}").shuffle(numbers)  # noqa: S311 - no secret
    return tuple(numbers)


STUDY_NOT_OF_GAUGE = refusal(
    "quality.study_not_of_gauge",
    gettext_noop("{gauge} does not measure {characteristic}."),
    gettext_noop("Choose a measured characteristic with two limits for this gauge."),
    status=422,
)
STUDY_FULL = refusal(
    "quality.study_full",
    gettext_noop("{n} people measure in this study already."),
    gettext_noop("Let these finish it, or begin another study."),
)
STUDY_OTHER_NEXT = refusal(
    "quality.study_other_next",
    gettext_noop("That value is in already, or another part is next."),
    gettext_noop("Measure the part that is shown now."),
)
