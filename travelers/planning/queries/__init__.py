"""Where is everything on the floor, and what is today's work?"""

from travelers.planning.queries.board import BoardPage, board
from travelers.planning.queries.cells import CellPage, cell
from travelers.planning.queries.rooms import (
    SPANS,
    RoomPage,
    RoomRow,
    damp_rooms,
    room,
    rooms,
)
from travelers.planning.queries.stations import StationList, stations
from travelers.planning.queries.today import Today, today

__all__ = [
    "SPANS",
    "BoardPage",
    "CellPage",
    "RoomPage",
    "RoomRow",
    "StationList",
    "Today",
    "board",
    "cell",
    "damp_rooms",
    "room",
    "rooms",
    "stations",
    "today",
]
