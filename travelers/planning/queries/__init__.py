"""Where is everything on the floor, and what is today's work?"""

from travelers.planning.queries.air_lists import AirSummary, air_summary
from travelers.planning.queries.board import BoardPage, board
from travelers.planning.queries.calibration import CalibrationPage, calibration_page
from travelers.planning.queries.cells import CellPage, cell
from travelers.planning.queries.counted import (
    Uncounted,
    counted,
    day_counts,
    open_seq,
    uncounted,
)
from travelers.planning.queries.drying import Forecast, Outlook
from travelers.planning.queries.flow import SPANS as FLOW_SPANS
from travelers.planning.queries.flow import USUAL as FLOW_USUAL
from travelers.planning.queries.flow import (
    Ages,
    ClosedPage,
    Course,
    DayPage,
    FlowPage,
    PassedPage,
    ReleasedPage,
    WaitsPage,
    closed_page,
    day_page,
    flow_ages,
    flow_course,
    flow_page,
    flow_weeks,
    part_of,
    passed_page,
    released_page,
    waits_page,
)
from travelers.planning.queries.flow import Asked as FlowAsked
from travelers.planning.queries.flow import Days as FlowDays
from travelers.planning.queries.flow import Week as FlowWeek
from travelers.planning.queries.rooms import (
    SPANS,
    RoomPage,
    RoomRow,
    Week,
    damp_rooms,
    room,
    rooms,
    weeks,
)
from travelers.planning.queries.stations import StationList, stations
from travelers.planning.queries.today import Today, today
from travelers.planning.queries.wood import (
    SetPage,
    Walk,
    Workshop,
    find_set,
    set_page,
    walks,
    workshop,
)

__all__ = [
    "FLOW_SPANS",
    "FLOW_USUAL",
    "SPANS",
    "Ages",
    "AirSummary",
    "BoardPage",
    "CalibrationPage",
    "CellPage",
    "ClosedPage",
    "Course",
    "DayPage",
    "FlowAsked",
    "FlowDays",
    "FlowPage",
    "FlowWeek",
    "Forecast",
    "Outlook",
    "PassedPage",
    "ReleasedPage",
    "RoomPage",
    "RoomRow",
    "SetPage",
    "StationList",
    "Today",
    "Uncounted",
    "WaitsPage",
    "Walk",
    "Week",
    "Workshop",
    "air_summary",
    "board",
    "calibration_page",
    "cell",
    "closed_page",
    "counted",
    "damp_rooms",
    "day_counts",
    "day_page",
    "find_set",
    "flow_ages",
    "flow_course",
    "flow_page",
    "flow_weeks",
    "open_seq",
    "part_of",
    "passed_page",
    "released_page",
    "room",
    "rooms",
    "set_page",
    "stations",
    "today",
    "uncounted",
    "waits_page",
    "walks",
    "weeks",
    "workshop",
]
