"""Where is everything on the floor, and what is today's work?"""

from travelers.planning.queries.air_lists import AirSummary, air_summary
from travelers.planning.queries.board import BoardPage, board
from travelers.planning.queries.calibration import CalibrationPage, calibration_page
from travelers.planning.queries.cells import CellPage, cell
from travelers.planning.queries.drying import Forecast, Outlook
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
    "SPANS",
    "AirSummary",
    "BoardPage",
    "CalibrationPage",
    "CellPage",
    "Forecast",
    "Outlook",
    "RoomPage",
    "RoomRow",
    "SetPage",
    "StationList",
    "Today",
    "Walk",
    "Week",
    "Workshop",
    "air_summary",
    "board",
    "calibration_page",
    "cell",
    "damp_rooms",
    "find_set",
    "room",
    "rooms",
    "set_page",
    "stations",
    "today",
    "walks",
    "weeks",
    "workshop",
]
