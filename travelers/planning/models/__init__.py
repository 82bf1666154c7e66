"""What does the planner keep: days that were counted, forecasts, and what was tried?"""

from travelers.planning.models.day_counts import Counted, DayCount
from travelers.planning.models.forecasts import Forecast, WhatIf

__all__ = ["Counted", "DayCount", "Forecast", "WhatIf"]
