"""What was found wrong, what is held for it, what stands out, what was studied?"""

from travelers.quality.models.charts import ChartBase, SignalAnswer
from travelers.quality.models.containments import Contained, Containment
from travelers.quality.models.defects import (
    Defect,
    DefectPhoto,
    Disposition,
    Verification,
)
from travelers.quality.models.studies import GaugeStudy, StudyPart, StudyValue

__all__ = [
    "ChartBase",
    "Contained",
    "Containment",
    "Defect",
    "DefectPhoto",
    "Disposition",
    "GaugeStudy",
    "SignalAnswer",
    "StudyPart",
    "StudyValue",
    "Verification",
]
