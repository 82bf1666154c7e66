"""Where were parts, and how many lay where?  Pure."""

from travelers.planning.rules.days import DAY, Count, Place, count, days
from travelers.planning.rules.visits import (
    PartTimes,
    StepTimes,
    Visit,
    visits_of,
    whole,
)

__all__ = [
    "DAY",
    "Count",
    "PartTimes",
    "Place",
    "StepTimes",
    "Visit",
    "count",
    "days",
    "visits_of",
    "whole",
]
