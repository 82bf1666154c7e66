"""How are days counted, forecasts and plans kept, orders released and promised?"""

from travelers.planning.actions.counting import count_days
from travelers.planning.actions.forecasting import digest_of, make_forecast
from travelers.planning.actions.promising import promise_order
from travelers.planning.actions.releasing import (
    Chosen,
    Released,
    make_release_plan,
    release_chosen,
    set_release_rules,
)
from travelers.planning.actions.trying import drop_what_if, keep_what_if, try_what_if

__all__ = [
    "Chosen",
    "Released",
    "count_days",
    "digest_of",
    "drop_what_if",
    "keep_what_if",
    "make_forecast",
    "make_release_plan",
    "promise_order",
    "release_chosen",
    "set_release_rules",
    "try_what_if",
]
