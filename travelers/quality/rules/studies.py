"""Who measures what next in a gauge study, and what does its result say?"""

from dataclasses import dataclass
from enum import StrEnum
from random import Random

from travelers.formulas import codes
from travelers.kit.refusals import Refusal, gettext_noop, refusal

# From how few to how many; fewer tell nothing, more nobody measures.
STUDY_PARTS, STUDY_PEOPLE, STUDY_TRIALS = (2, 30), (2, 5), (2, 5)
# Of the tolerance, in percent: a gauge is good below the first, and cannot judge above
# the second (AIAG, Measurement Systems Analysis, as quoted in public).
GOOD_PCT, LIMIT_PCT = 10.0, 30.0
# Numbers of cards that a study has: its own, and one for each part.
CARDS = 32


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

    Who knows which part comes next remembers what it measured the last time. So the
    last of a trial is never the first of the next.
    """
    numbers = list(range(1, parts + 1))
    Random(f"{study} {person} {trial}").shuffle(numbers)  # noqa: S311 - no secret
    if trial > 1 and numbers[0] == order_of(study, person, trial - 1, parts)[-1]:
        numbers[0], numbers[-1] = numbers[-1], numbers[0]
    return tuple(numbers)


def card_of(study: int, part: int = 0) -> str:
    """Give the code on a card of a study: that of a part, or its own."""
    return codes.make(study * CARDS + part, "Y")


def read_card(code: str) -> tuple[int, int] | None:
    """Say of which study a card is, and of which of its parts; 0 is the study's own."""
    if code[:1] != "Y":
        return None
    try:
        return divmod(codes.number_of(code), CARDS)
    except codes.NotACode:
        return None


@dataclass(frozen=True, slots=True)
class Turn:
    """What somebody measures next: a part, and the how-manieth time."""

    part: int
    trial: int


@dataclass(frozen=True, slots=True)
class Sitting:
    """How somebody stands in a study.

    ``own`` are the parts that they measured, each with its trial; ``others`` counts
    the people beside them who measure in it, ``done`` the values of all.
    """

    study: int
    person: int
    parts: int
    people: int
    trials: int
    own: frozenset[tuple[int, int]]
    others: int
    done: int
    called_off: bool
    gauge: str
    gauge_out: bool

    @property
    def of_each(self) -> int:
        """Count what each person measures."""
        return self.parts * self.trials

    @property
    def is_whole(self) -> bool:
        return self.done >= self.of_each * self.people

    @property
    def closed(self) -> bool:
        return self.called_off or self.is_whole

    @property
    def next(self) -> Turn | None:
        """Say which part is next; None once all of theirs are in."""
        return next(
            (
                Turn(part, trial)
                for trial in range(1, self.trials + 1)
                for part in order_of(self.study, self.person, trial, self.parts)
                if (part, trial) not in self.own
            ),
            None,
        )


def why_closed(sitting: Sitting) -> Refusal | None:
    """Say why nobody measures in a study any more."""
    return STUDY_CLOSED if sitting.closed else None


def why_not_measured(sitting: Sitting) -> Refusal | None:
    """Say why somebody measures nothing in a study now."""
    if no := why_closed(sitting):
        return no
    if sitting.gauge_out:
        return STUDY_GAUGE_OUT.about(gauge=sitting.gauge)
    if not sitting.own and sitting.others >= sitting.people:
        return STUDY_FULL.about(n=str(sitting.people))
    return None if sitting.next else STUDY_YOURS_ARE_IN


def why_not_this(sitting: Sitting, part: int) -> Refusal | None:
    """Say why somebody does not measure this part now."""
    turn = sitting.next
    if (no := why_not_measured(sitting)) or turn is None or turn.part == part:
        return no
    if not 1 <= part <= sitting.parts:
        return STUDY_NO_SUCH_PART.about(n=str(part), most=str(sitting.parts))
    measured = (part, turn.trial) in sitting.own
    no = STUDY_PART_AGAIN if measured else STUDY_OTHER_PART
    return no.about(n=str(part), wanted=str(turn.part))


STUDY_NOT_OF_GAUGE = refusal(
    "quality.study_not_of_gauge",
    gettext_noop("{gauge} does not measure {characteristic}."),
    gettext_noop("Choose a measured characteristic with two limits for this gauge."),
    status=422,
)
STUDY_FULL = refusal(
    "quality.study_full",
    gettext_noop("{n} people measure in this study already, and you are not of them."),
    gettext_noop("Let these finish it, or ask QA for another study."),
)
STUDY_CLOSED = refusal(
    "quality.study_closed",
    gettext_noop("This study is closed and takes no more values."),
    gettext_noop("Ask QA whether another one is begun."),
)
STUDY_GAUGE_OUT = refusal(
    "quality.study_gauge_out",
    gettext_noop("{gauge} is out of calibration or was found bad."),
    gettext_noop("Put it aside and tell QA; the study goes on when it is back."),
)
STUDY_YOURS_ARE_IN = refusal(
    "quality.study_yours_are_in",
    gettext_noop("All your values are in this study."),
    gettext_noop("Hand the gauge and the parts to the next person."),
)
STUDY_NO_SUCH_PART = refusal(
    "quality.study_no_such_part",
    gettext_noop("This study has no part {n}; they are numbered from 1 to {most}."),
    gettext_noop("Look at the mark on the part, or scan its card."),
)
STUDY_PART_AGAIN = refusal(
    "quality.study_part_again",
    gettext_noop("You have measured part {n} already in this round."),
    gettext_noop("Put it back and take part {wanted}."),
)
STUDY_OTHER_PART = refusal(
    "quality.study_other_part",
    gettext_noop("That is part {n}, and part {wanted} is next."),
    gettext_noop("Take part {wanted}; {n} comes later in this round."),
)
STUDY_NOT_ITS_PART = refusal(
    "quality.study_not_its_part",
    gettext_noop("What was scanned is no part of this study."),
    gettext_noop("Scan the tag or the card of one of its parts."),
)
STUDY_OTHER_CARD = refusal(
    "quality.study_other_card",
    gettext_noop("That card is of another study."),
    gettext_noop("Take the cards of this one, or begin at the other study's own card."),
)
STUDY_OTHER_GAUGE = refusal(
    "quality.study_other_gauge",
    gettext_noop("That is {other}, and {gauge} is studied here."),
    gettext_noop("Take {gauge} to hand."),
)
STUDY_NOT_HERE = refusal(
    "quality.study_not_here",
    gettext_noop("That study is measured where {operation} is done."),
    gettext_noop("Take the gauge and the parts there: {stations}."),
)
STUDY_NO_GAUGE = refusal(
    "quality.study_no_gauge",
    gettext_noop("What was scanned is neither a gauge nor the card of a study."),
    gettext_noop("Scan one of these, or choose one of the studies below."),
)
STUDY_NONE_HERE = refusal(
    "quality.study_none_here",
    gettext_noop("No study of {gauge} is open at this station."),
    gettext_noop("Ask QA to begin one, or choose one of the studies below."),
)
STUDY_GONE_ON = refusal(
    "quality.study_gone_on",
    gettext_noop("That is not your last value in this study any more."),
    gettext_noop("Go on; tell QA which value was wrong."),
)
STUDY_PRESS_USED = refusal(
    "quality.study_press_used",
    gettext_noop("This page has sent another value before, which is in."),
    gettext_noop("Open the study again and measure the part that is shown."),
)
STUDY_BEGUN = refusal(
    "quality.study_begun",
    gettext_noop("Values are in already, so its parts stay as they are numbered."),
    gettext_noop("Call this study off and begin another with the right parts."),
)
STUDY_PART_IN = refusal(
    "quality.study_part_in",
    gettext_noop("{code} is part {n} of this study already."),
    gettext_noop("Scan the tag of another part."),
)
STUDY_ALL_NUMBERED = refusal(
    "quality.study_all_numbered",
    gettext_noop("All {n} parts of this study have their tags."),
    gettext_noop("Call it off and begin a larger one, if more are wanted."),
)
