"""What may happen to a part at a station, and what becomes of it?  Pure."""

from travelers.floor.rules.bench import Bench, Change, PartNow, StepNow, advance, pick
from travelers.floor.rules.facts import Facts, Held, Notes, facts_of
from travelers.floor.rules.fold import Told, fold
from travelers.floor.rules.machine import NEXT, Outcome, State, Wish, judge

__all__ = [
    "NEXT",
    "Bench",
    "Change",
    "Facts",
    "Held",
    "Notes",
    "Outcome",
    "PartNow",
    "State",
    "StepNow",
    "Told",
    "Wish",
    "advance",
    "facts_of",
    "fold",
    "judge",
    "pick",
]
