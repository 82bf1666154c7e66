"""How is each paper printed?  A frozen dataclass in, the bytes of a PDF out."""

from travelers.paper.documents.commands import command_cards
from travelers.paper.documents.containments import containment_sheet
from travelers.paper.documents.digest import digest_sheet
from travelers.paper.documents.labels import (
    badges,
    batch_label,
    labels,
    study_cards,
    tags,
)
from travelers.paper.documents.loads import load_sheet
from travelers.paper.documents.plans import cut_plan
from travelers.paper.documents.print_checks import print_check
from travelers.paper.documents.records import build_record
from travelers.paper.documents.reworks import rework_sheet
from travelers.paper.documents.stations import station_cards
from travelers.paper.documents.travelers import Own, traveler_page, travelers

__all__ = [
    "Own",
    "badges",
    "batch_label",
    "build_record",
    "command_cards",
    "containment_sheet",
    "cut_plan",
    "digest_sheet",
    "labels",
    "load_sheet",
    "print_check",
    "rework_sheet",
    "station_cards",
    "study_cards",
    "tags",
    "traveler_page",
    "travelers",
]
