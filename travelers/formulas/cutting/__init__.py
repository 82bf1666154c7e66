"""How is a plank cut so that it gives the most whole sets?"""

from travelers.formulas.cutting.plans import CutPlan, Other, plan
from travelers.formulas.cutting.saws import (
    First,
    Offcut,
    Part,
    Place,
    Plank,
    Section,
)
from travelers.formulas.cutting.stages import Found, Kind, TooManyWays, best_stages

__all__ = [
    "CutPlan",
    "First",
    "Found",
    "Kind",
    "Offcut",
    "Other",
    "Part",
    "Place",
    "Plank",
    "Section",
    "TooManyWays",
    "best_stages",
    "plan",
]
