"""How does the floor as it stands become a line that the forecast lives through?"""

from travelers.planning.queries.forecast.line import (
    AS_IT_IS,
    Changes,
    FloorNow,
    floor_now,
)

__all__ = ["AS_IT_IS", "Changes", "FloorNow", "floor_now"]
