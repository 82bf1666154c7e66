"""Which screens do orders and their wood have?"""

from travelers.orders.views.orders import (
    allot,
    order,
    order_new,
    orders,
    release,
    take_back,
)
from travelers.orders.views.planks import plank, plank_plan, weigh

__all__ = [
    "allot",
    "order",
    "order_new",
    "orders",
    "plank",
    "plank_plan",
    "release",
    "take_back",
    "weigh",
]
