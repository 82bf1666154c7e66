"""What may be printed, and how is what was written on it read?  Pure."""

from travelers.paper.rules.sheets import (
    MOST_INSTRUMENTS,
    NOT_RELEASED,
    NOTHING_TO_PRINT,
    TOO_MANY,
    Paper,
    Printing,
    Size,
    Stock,
    may_print,
)

__all__ = [
    "MOST_INSTRUMENTS",
    "NOTHING_TO_PRINT",
    "NOT_RELEASED",
    "TOO_MANY",
    "Paper",
    "Printing",
    "Size",
    "Stock",
    "may_print",
]
