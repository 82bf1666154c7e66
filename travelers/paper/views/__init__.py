"""Which papers can be had, and how does what stands on one come in?"""

from travelers.paper.views.entry import entry
from travelers.paper.views.sheets import (
    badges,
    delivery_labels,
    order_tags,
    order_travelers,
    piece_labels,
    selection,
    station_card,
    station_cards,
    traveler,
)

__all__ = [
    "badges",
    "delivery_labels",
    "entry",
    "order_tags",
    "order_travelers",
    "piece_labels",
    "selection",
    "station_card",
    "station_cards",
    "traveler",
]
