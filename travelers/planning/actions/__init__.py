"""How does a forecast come to be kept, and what is tried?"""

from travelers.planning.actions.forecasting import make_forecast
from travelers.planning.actions.trying import drop_what_if, keep_what_if, try_what_if

__all__ = ["drop_what_if", "keep_what_if", "make_forecast", "try_what_if"]
