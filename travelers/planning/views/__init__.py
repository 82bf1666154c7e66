"""How are the floor, its flow, its rooms and the day's work shown?"""

from travelers.planning.views.air_list import import_air
from travelers.planning.views.ask import accept, ask
from travelers.planning.views.board import board, cell, home, stations, wall
from travelers.planning.views.flow import (
    ages,
    closed,
    course,
    day,
    flow,
    passed,
    released,
    still_open,
    waits,
    weeks,
)
from travelers.planning.views.forecast import limits, load, promises, record
from travelers.planning.views.loggers import log, logger_out, loggers
from travelers.planning.views.release import (
    fill,
    release,
    release_now,
    rules,
    starts,
)
from travelers.planning.views.rooms import air, places, room, rooms
from travelers.planning.views.what_if import drop, what_if, what_ifs
from travelers.planning.views.wood import calibration, to_read, wood_set

__all__ = [
    "accept",
    "ages",
    "air",
    "ask",
    "board",
    "calibration",
    "cell",
    "closed",
    "course",
    "day",
    "drop",
    "fill",
    "flow",
    "home",
    "import_air",
    "limits",
    "load",
    "log",
    "logger_out",
    "loggers",
    "passed",
    "places",
    "promises",
    "record",
    "release",
    "release_now",
    "released",
    "room",
    "rooms",
    "rules",
    "starts",
    "stations",
    "still_open",
    "to_read",
    "waits",
    "wall",
    "weeks",
    "what_if",
    "what_ifs",
    "wood_set",
]
