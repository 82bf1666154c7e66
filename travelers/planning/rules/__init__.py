"""Where were parts, how many lay where, and does a plan hold?  Pure."""

from travelers.planning.rules.days import DAY, Count, Place, count, days
from travelers.planning.rules.release import (
    CERTAINTIES,
    USUAL_CERTAINTY,
    Holds,
    holds,
)
from travelers.planning.rules.visits import (
    PartTimes,
    StepTimes,
    Visit,
    visits_of,
    whole,
)

__all__ = [
    "CERTAINTIES",
    "DAY",
    "USUAL_CERTAINTY",
    "Count",
    "Holds",
    "PartTimes",
    "Place",
    "StepTimes",
    "Visit",
    "count",
    "days",
    "holds",
    "visits_of",
    "whole",
]
