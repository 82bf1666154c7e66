"""Which things may be behind a defect?  Not people: they are not compared."""

from dataclasses import dataclass
from enum import StrEnum


class Factor(StrEnum):
    """What instruments may have in common."""

    PLANK = "PLANK"
    DELIVERY = "DELIVERY"
    LOAD = "LOAD"
    STATION = "STATION"
    GAUGE = "GAUGE"
    BATCH = "BATCH"
    CUTTER = "CUTTER"
    WEEK = "WEEK"
    REVISION = "REVISION"


@dataclass(frozen=True, slots=True, order=True)
class Candidate:
    """One thing that instruments met; the number of a week is its Monday."""

    factor: Factor
    id: str
