"""Which papers can be had, and how does what stands on one come in?"""

from travelers.paper.views.entry import entry
from travelers.paper.views.sheets import (
    badges,
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
    selection,
    station_card,
    station_cards,
    traveler,
    traveler_page,
)

__all__ = [
    "badges",
    "build_record",
    "command_cards",
    "containment_sheet",
    "cut_plan",
    "delivery_labels",
    "entry",
    "load_sheet",
    "order_tags",
    "order_travelers",
    "piece_labels",
    "print_check",
    "selection",
    "station_card",
    "station_cards",
    "traveler",
    "traveler_page",
]
