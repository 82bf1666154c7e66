"""Which papers can be had, and how does what stands on one come in?"""

from travelers.paper.views.digest import digest, digest_pdf
from travelers.paper.views.entry import entry
from travelers.paper.views.sheets import (
    badges,
    batch_label,
    build_record,
    command_cards,
    containment_sheet,
    cut_plan,
    delivery_labels,
    load_sheet,
    order_tags,
    order_travelers,
    piece_labels,
    print_check,
    rework_sheet,
    selection,
    station_card,
    station_cards,
    traveler,
    traveler_page,
)

__all__ = [
    "badges",
    "batch_label",
    "build_record",
    "command_cards",
    "containment_sheet",
    "cut_plan",
    "delivery_labels",
    "digest",
    "digest_pdf",
    "entry",
    "load_sheet",
    "order_tags",
    "order_travelers",
    "piece_labels",
    "print_check",
    "rework_sheet",
    "selection",
    "station_card",
    "station_cards",
    "traveler",
    "traveler_page",
]
