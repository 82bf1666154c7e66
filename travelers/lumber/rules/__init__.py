"""What may be cut from a plank, and what must a delivery bring?"""

from travelers.lumber.rules.planks import (
    CANNOT_BE_WOOD,
    DOES_NOT_FIT,
    MOST_PIECES,
    MOST_PLANKS_AT_ONCE,
    NUMBER_TAKEN,
    TRADE_PAPERS_MISSING,
    Cut,
    Purpose,
    Sawn,
    does_not_fit,
    not_wood,
)

__all__ = [
    "CANNOT_BE_WOOD",
    "DOES_NOT_FIT",
    "MOST_PIECES",
    "MOST_PLANKS_AT_ONCE",
    "NUMBER_TAKEN",
    "TRADE_PAPERS_MISSING",
    "Cut",
    "Purpose",
    "Sawn",
    "does_not_fit",
    "not_wood",
]
