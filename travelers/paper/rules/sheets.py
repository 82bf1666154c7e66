"""Which papers are there, on what are they printed, and how large may a run be?"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from travelers.kit.refusals import Refusal, gettext_noop, refusal


class Paper(StrEnum):
    TRAVELER = "TRAVELER"
    TAGS = "TAGS"
    PIECE_LABELS = "PIECE_LABELS"
    PLANK_LABELS = "PLANK_LABELS"
    BATCH_LABEL = "BATCH_LABEL"
    STATION_CARD = "STATION_CARD"
    COMMANDS = "COMMANDS"
    LOAD_SHEET = "LOAD_SHEET"
    BUILD_RECORD = "BUILD_RECORD"
    REWORK_SHEET = "REWORK_SHEET"


class Size(StrEnum):
    """The sheets that office printers take."""

    A4 = "a4"
    LETTER = "letter"


class Stock(StrEnum):
    """What tags and labels are printed on: a sheet of labels, or a roll."""

    SHEET = "sheet"
    ROLL = "roll"


@dataclass(frozen=True, slots=True)
class Printing:
    """Which copy of a paper this is, when it was printed and by whom."""

    copy: int
    at: datetime
    by: str


# A hundred travelers are some four hundred pages: a ream, and a patient minute.
MOST_INSTRUMENTS = 100

NOTHING_TO_PRINT = refusal(
    "paper.nothing_to_print",
    gettext_noop("Nothing was chosen to print."),
    gettext_noop("Mark what you want on paper, then print it."),
    status=422,
)
NOT_RELEASED = refusal(
    "paper.not_released",
    gettext_noop("Order {order} is not released, so there is nothing to print."),
    gettext_noop("Allot the wood and release the order first."),
)
NOT_FINISHED = refusal(
    "paper.not_finished",
    gettext_noop("Instrument {serial} is {state_word}, so it has no build record."),
    gettext_noop("Finish its last operation first; until then print its traveler."),
)
NOT_SENT_BACK = refusal(
    "paper.not_sent_back",
    gettext_noop("Nothing was sent back because of defect {number}."),
    gettext_noop("Decide on a rework first; then its lines can be printed."),
)
CANNOT_PRINT = refusal(
    "paper.cannot_print",
    gettext_noop("The shop's computer lacks what makes papers."),
    gettext_noop(
        "Print travelers by the browser, from the instrument's page; tell whoever "
        "looks after the server."
    ),
)
TOO_MANY = refusal(
    "paper.too_many",
    gettext_noop("{count} instruments are more than one print run takes ({limit})."),
    gettext_noop("Print them in smaller runs, from one place of the order to another."),
    status=422,
)


def may_print(*, count: int) -> Refusal | None:
    """Say why the papers of so many instruments cannot be printed in one run."""
    if count == 0:
        return NOTHING_TO_PRINT
    if count > MOST_INSTRUMENTS:
        return TOO_MANY.about(count=str(count), limit=str(MOST_INSTRUMENTS))
    return None
