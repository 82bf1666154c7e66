"""How does what is built flow through the shop?"""

from travelers.planning.queries.flow.asked import SPANS, USUAL, Asked
from travelers.planning.queries.flow.closed import Week
from travelers.planning.queries.flow.course import Course, part_of
from travelers.planning.queries.flow.lists import (
    ClosedPage,
    DayPage,
    Days,
    PassedPage,
    ReleasedPage,
    WaitsPage,
    closed_page,
    day_page,
    passed_page,
    released_page,
    waits_page,
)
from travelers.planning.queries.flow.page import (
    Ages,
    FlowPage,
    flow_ages,
    flow_course,
    flow_page,
    flow_weeks,
)

__all__ = [
    "SPANS",
    "USUAL",
    "Ages",
    "Asked",
    "ClosedPage",
    "Course",
    "DayPage",
    "Days",
    "FlowPage",
    "PassedPage",
    "ReleasedPage",
    "WaitsPage",
    "Week",
    "closed_page",
    "day_page",
    "flow_ages",
    "flow_course",
    "flow_page",
    "flow_weeks",
    "part_of",
    "passed_page",
    "released_page",
    "waits_page",
]
