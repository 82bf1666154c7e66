"""Which deliveries and planks are there, and what has been cut from them?"""

from travelers.lumber.queries.deliveries import (
    WOOD_KEEPERS,
    DeliveryList,
    DeliveryPage,
    Offered,
    PieceRow,
    PlankPage,
    SetRow,
    deliveries,
    delivery,
    get_set,
    is_delivery,
    may_write,
    offered,
    plank,
    plank_of_set,
    set_row,
)

__all__ = [
    "WOOD_KEEPERS",
    "DeliveryList",
    "DeliveryPage",
    "Offered",
    "PieceRow",
    "PlankPage",
    "SetRow",
    "deliveries",
    "delivery",
    "get_set",
    "is_delivery",
    "may_write",
    "offered",
    "plank",
    "plank_of_set",
    "set_row",
]
