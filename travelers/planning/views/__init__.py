"""How are the floor, its rooms and the day's work shown?"""

from travelers.planning.views.air_list import import_air
from travelers.planning.views.board import board, cell, home, stations
from travelers.planning.views.forecast import limits, load, promises
from travelers.planning.views.loggers import log, logger_out, loggers
from travelers.planning.views.rooms import air, places, room, rooms
from travelers.planning.views.what_if import drop, what_if, what_ifs
from travelers.planning.views.wood import calibration, to_read, wood_set

__all__ = [
    "air",
    "board",
    "calibration",
    "cell",
    "drop",
    "home",
    "import_air",
    "limits",
    "load",
    "log",
    "logger_out",
    "loggers",
    "places",
    "promises",
    "room",
    "rooms",
    "stations",
    "to_read",
    "what_if",
    "what_ifs",
    "wood_set",
]
