"""What may be printed, and how is what was written on it read?  Pure."""

from travelers.paper.rules.records import (
    Deed,
    Leg,
    Mark,
    way_of,
)
from travelers.paper.rules.sheets import (
    CANNOT_PRINT,
    MOST_INSTRUMENTS,
    NOT_FINISHED,
    NOT_RELEASED,
    NOT_SENT_BACK,
    NOTHING_TO_PRINT,
    TOO_MANY,
    Paper,
    Printing,
    Size,
    Stock,
    may_print,
)

__all__ = [
    "CANNOT_PRINT",
    "MOST_INSTRUMENTS",
    "NOTHING_TO_PRINT",
    "NOT_FINISHED",
    "NOT_RELEASED",
    "NOT_SENT_BACK",
    "TOO_MANY",
    "Deed",
    "Leg",
    "Mark",
    "Paper",
    "Printing",
    "Size",
    "Stock",
    "may_print",
    "way_of",
]
