"""Which orders are there, what wood suits them, and which parts do they have?"""

from travelers.orders.queries.instead import (
    Wanting,
    WoodInstead,
    parts_wanting_wood,
    wood_instead,
)
from travelers.orders.queries.instruments import (
    InstrumentRow,
    instrument_rows,
    strands,
)
from travelers.orders.queries.orders import (
    ORDER_KEEPERS,
    ORDER_READERS,
    OrderList,
    OrderPage,
    get_order,
    is_order,
    open_orders,
    order_page,
    orders,
)
from travelers.orders.queries.planks import Fate, PlankPage, plank_page, set_page
from travelers.orders.queries.plans import Plan, Saw, Wish, cut_plan, lacking
from travelers.orders.queries.proposing import Proposed, proposed_wood
from travelers.orders.queries.wood import first_suiting

__all__ = [
    "ORDER_KEEPERS",
    "ORDER_READERS",
    "Fate",
    "InstrumentRow",
    "OrderList",
    "OrderPage",
    "Plan",
    "PlankPage",
    "Proposed",
    "Saw",
    "Wanting",
    "Wish",
    "WoodInstead",
    "cut_plan",
    "first_suiting",
    "get_order",
    "instrument_rows",
    "is_order",
    "lacking",
    "open_orders",
    "order_page",
    "orders",
    "parts_wanting_wood",
    "plank_page",
    "proposed_wood",
    "set_page",
    "strands",
    "wood_instead",
]
