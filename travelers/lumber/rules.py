"""What may be cut from a plank, and what must a delivery bring?"""

from enum import StrEnum

from travelers.kit.refusals import gettext_noop, refusal


class Purpose(StrEnum):
    BODY = "BODY"
    NECK = "NECK"


TRADE_PAPERS_MISSING = refusal(
    "lumber.trade_papers_missing",
    gettext_noop("{species} is under trade control and this delivery names no papers."),
    gettext_noop(
        "Enter the number of the trade papers, or put the wood aside until they come."
    ),
    status=422,
)
NUMBER_TAKEN = refusal(
    "lumber.number_taken",
    gettext_noop("There is a delivery {number} already."),
    gettext_noop("Open that delivery, or give this one another number."),
)
DOES_NOT_FIT = refusal(
    "lumber.does_not_fit",
    gettext_noop(
        "{pieces} pieces of {length} × {width} mm are more wood than plank {plank} has."
    ),
    gettext_noop("Choose fewer or smaller pieces, or another plank."),
    status=422,
)
