"""Which measured values stay as they were, and are they good enough?"""

from travelers.quality.queries.charts.lists import ChartRow, chart_list
from travelers.quality.queries.charts.pages import (
    Asked,
    ChartPage,
    chart_page,
    open_signals,
)
from travelers.quality.queries.charts.series import parts_of_base, series_of

__all__ = [
    "Asked",
    "ChartPage",
    "ChartRow",
    "chart_list",
    "chart_page",
    "open_signals",
    "parts_of_base",
    "series_of",
]
