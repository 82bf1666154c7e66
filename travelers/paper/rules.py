"""Which papers are there, and how large may a print run be?"""

from enum import StrEnum

from travelers.kit.refusals import gettext_noop, refusal


class Paper(StrEnum):
    TRAVELER = "TRAVELER"
    TAGS = "TAGS"
    PIECE_LABELS = "PIECE_LABELS"
    STATION_CARD = "STATION_CARD"


NOTHING_TO_PRINT = refusal(
    "paper.nothing_to_print",
    gettext_noop("Nothing was chosen to print."),
    gettext_noop("Mark the instruments whose travelers you want."),
    status=422,
)
NOT_RELEASED = refusal(
    "paper.not_released",
    gettext_noop("Order {order} is not released, so there is nothing to print."),
    gettext_noop("Allot the wood and release the order first."),
)
TOO_MANY = refusal(
    "paper.too_many",
    gettext_noop("{count} travelers are more than one print run takes ({limit})."),
    gettext_noop("Print them in smaller runs."),
    status=422,
)
