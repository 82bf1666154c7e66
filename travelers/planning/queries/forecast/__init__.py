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
    limits_page,
    not_compiled,
    promises_page,
    why_not,
)
from travelers.planning.queries.forecast.record import Lessons, lessons, record_page
from travelers.planning.queries.forecast.told import gains, most_limiting, told
from travelers.planning.queries.forecast.trials import (
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
    "Lessons",
    "floor_now",
    "gains",
    "lessons",
    "limits_page",
    "most_limiting",
    "not_compiled",
    "promises_page",
    "record_page",
    "told",
    "trial_page",
    "trials",
    "what_can_change",
    "why_not",
]
