"""How are the floor, its rooms and the day's work shown?"""

from travelers.planning.views.air_list import import_air
from travelers.planning.views.board import board, cell, home, stations, wall
from travelers.planning.views.loggers import log, logger_out, loggers
from travelers.planning.views.rooms import air, places, room, rooms
from travelers.planning.views.wood import calibration, to_read, wood_set

__all__ = [
    "air",
    "board",
    "calibration",
    "cell",
    "home",
    "import_air",
    "log",
    "logger_out",
    "loggers",
    "places",
    "room",
    "rooms",
    "stations",
    "to_read",
    "wall",
    "wood_set",
]
