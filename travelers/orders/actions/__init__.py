"""How does an order come about, get its wood and become instruments?"""

from travelers.orders.actions.exchange import exchange_parts
from travelers.orders.actions.instead import give_wood, look_at_wood, make_instead
from travelers.orders.actions.making import (
    allot,
    allot_sets,
    make_order,
    take_back,
)
from travelers.orders.actions.release import release_order
from travelers.orders.actions.rework import insert_rework

__all__ = [
    "allot",
    "allot_sets",
    "exchange_parts",
    "give_wood",
    "insert_rework",
    "look_at_wood",
    "make_instead",
    "make_order",
    "release_order",
    "take_back",
]
