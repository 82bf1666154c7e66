"""How bad is a defect, what may be decided of it, and how far does it reach?"""

from travelers.quality.rules.defects import (
    ALREADY_DECIDED,
    FOLDER,
    KIND_NOT_HERE,
    MOST_PHOTOS,
    NOT_A_WAY_BACK,
    PHOTO_GONE,
    REASON_MISSING,
    Decision,
    Severity,
    hold_id_of,
)
from travelers.quality.rules.patterns import (
    ANSWER_MISSING,
    BASE_TOO_SHORT,
    RULES,
    SIGNAL_ANSWERED,
    WORDS,
    RuleSet,
)
from travelers.quality.rules.shared_causes import Candidate, Factor
from travelers.quality.rules.trace import (
    NOTHING_TO_CONTAIN,
    NOTHING_TRACED,
    Edge,
    Kind,
    Step,
    Thing,
    Web,
    walk,
)

__all__ = [
    "ALREADY_DECIDED",
    "ANSWER_MISSING",
    "BASE_TOO_SHORT",
    "FOLDER",
    "KIND_NOT_HERE",
    "MOST_PHOTOS",
    "NOTHING_TO_CONTAIN",
    "NOTHING_TRACED",
    "NOT_A_WAY_BACK",
    "PHOTO_GONE",
    "REASON_MISSING",
    "RULES",
    "SIGNAL_ANSWERED",
    "WORDS",
    "Candidate",
    "Decision",
    "Edge",
    "Factor",
    "Kind",
    "RuleSet",
    "Severity",
    "Step",
    "Thing",
    "Web",
    "hold_id_of",
    "walk",
]
