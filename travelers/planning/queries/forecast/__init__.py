"""How does the floor as it stands become a line that the forecast lives through?"""

from travelers.planning.queries.forecast.line import (
    AS_IT_IS,
    Changes,
    FloorNow,
    floor_now,
)
from travelers.planning.queries.forecast.page import (
    FIRST,
    FORECASTERS,
    WHOLE,
    LimitsPage,
    PromisesPage,
    last_forecast,
    limits_page,
    promise_of,
    promises_page,
)
from travelers.planning.queries.forecast.told import Told, gains, most_limiting, told
from travelers.planning.queries.forecast.trials import (
    TrialPage,
    trial_page,
    trials,
    what_can_change,
)

__all__ = [
    "AS_IT_IS",
    "FIRST",
    "FORECASTERS",
    "WHOLE",
    "Changes",
    "FloorNow",
    "LimitsPage",
    "PromisesPage",
    "Told",
    "TrialPage",
    "floor_now",
    "gains",
    "last_forecast",
    "limits_page",
    "most_limiting",
    "promise_of",
    "promises_page",
    "told",
    "trial_page",
    "trials",
    "what_can_change",
]
