"""How are days counted, how is a forecast kept, and how is something tried?"""

from travelers.planning.actions.counting import count_days
from travelers.planning.actions.forecasting import make_forecast
from travelers.planning.actions.trying import drop_what_if, keep_what_if, try_what_if

__all__ = [
    "count_days",
    "drop_what_if",
    "keep_what_if",
    "make_forecast",
    "try_what_if",
]
