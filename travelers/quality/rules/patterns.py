"""What do the run rules of a chart say in words, and which of them are asked?"""

from enum import StrEnum

from travelers.formulas.control import NELSON, WESTERN_ELECTRIC, Rule
from travelers.kit.refusals import gettext_noop, refusal


class RuleSet(StrEnum):
    """Which run rules a chart asks.

    The first rule of either set is a point beyond the limits; it alone is ``LIMITS``.
    """

    LIMITS = "LIMITS"
    WESTERN_ELECTRIC = "WESTERN_ELECTRIC"
    NELSON = "NELSON"


RULES: dict[RuleSet, tuple[Rule, ...]] = {
    RuleSet.LIMITS: (Rule.NELSON_1,),
    RuleSet.WESTERN_ELECTRIC: WESTERN_ELECTRIC,
    RuleSet.NELSON: NELSON,
}
# Own words for the patterns; the numbers are those of the published lists.
WORDS: dict[Rule, str] = {
    Rule.NELSON_1: gettext_noop("One point is beyond the limits of chance."),
    Rule.NELSON_2: gettext_noop("Nine points in a row lie on one side of the mean."),
    Rule.NELSON_3: gettext_noop("Six points in a row rise, or fall."),
    Rule.NELSON_4: gettext_noop("Fourteen points in a row go up and down by turns."),
    Rule.NELSON_5: gettext_noop(
        "Two of three points lie beyond two thirds of the way to a limit."
    ),
    Rule.NELSON_6: gettext_noop(
        "Four of five points lie beyond a third of the way to a limit."
    ),
    Rule.NELSON_7: gettext_noop("Fifteen points in a row lie close to the mean."),
    Rule.NELSON_8: gettext_noop(
        "Eight points in a row lie on both sides, and none close to the mean."
    ),
    Rule.WESTERN_ELECTRIC_1: gettext_noop("One point is beyond the limits of chance."),
    Rule.WESTERN_ELECTRIC_2: gettext_noop(
        "Two of three points lie beyond two thirds of the way to a limit."
    ),
    Rule.WESTERN_ELECTRIC_3: gettext_noop(
        "Four of five points lie beyond a third of the way to a limit."
    ),
    Rule.WESTERN_ELECTRIC_4: gettext_noop(
        "Eight points in a row lie on one side of the mean."
    ),
}
BASE_TOO_SHORT = refusal(
    "quality.base_too_short",
    gettext_noop("From {since_word} to {until_word} only {n} parts were measured."),
    gettext_noop("Choose a longer time: {least} parts at least, better twenty."),
    status=422,
)
ANSWER_MISSING = refusal(
    "quality.answer_missing",
    gettext_noop("A signal is answered with its cause and with what was done."),
    gettext_noop("Say both in a few words; “not found” is a cause too."),
    status=422,
)
SIGNAL_ANSWERED = refusal(
    "quality.signal_answered",
    gettext_noop("This signal was answered on {answered_at} by {person}."),
    gettext_noop("Read the answer in the list beneath the chart."),
)
