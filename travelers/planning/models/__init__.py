"""What does the planner keep: forecasts, and what was tried?"""

from travelers.planning.models.forecasts import Forecast, WhatIf

__all__ = ["Forecast", "WhatIf"]
