"""Which screens does the quality app have?"""

from travelers.quality.views.decisions import answer, decisions
from travelers.quality.views.defects import (
    defect,
    defect_of_event,
    defects,
    outline,
    report,
)

__all__ = [
    "answer",
    "decisions",
    "defect",
    "defect_of_event",
    "defects",
    "outline",
    "report",
]
