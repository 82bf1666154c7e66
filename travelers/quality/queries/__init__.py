"""What is known of defects, and what waits for a decision?"""

from travelers.quality.queries.decisions import Decisions, decisions
from travelers.quality.queries.defects import (
    Case,
    DefectList,
    Found,
    Here,
    Kind,
    KindHere,
    Patient,
    find_kind,
    get_case,
    get_patient,
    kinds_at,
    list_defects,
    lock_defect,
    number_of,
    stands_at,
)
from travelers.quality.queries.photos import Photo, find_photo, photos_of

__all__ = [
    "Case",
    "Decisions",
    "DefectList",
    "Found",
    "Here",
    "Kind",
    "KindHere",
    "Patient",
    "Photo",
    "decisions",
    "find_kind",
    "find_photo",
    "get_case",
    "get_patient",
    "kinds_at",
    "list_defects",
    "lock_defect",
    "number_of",
    "photos_of",
    "stands_at",
]
