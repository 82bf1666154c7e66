"""What does the planner keep: counted days, forecasts, plans, promises, trials?"""

from travelers.planning.models.day_counts import Counted, DayCount
from travelers.planning.models.forecasts import Forecast, WhatIf
from travelers.planning.models.lived import LivedThrough
from travelers.planning.models.releases import OrderPromise, ReleasePlan, ReleaseRules

__all__ = [
    "Counted",
    "DayCount",
    "Forecast",
    "LivedThrough",
    "OrderPromise",
    "ReleasePlan",
    "ReleaseRules",
    "WhatIf",
]
