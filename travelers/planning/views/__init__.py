"""How are the floor, its rooms and the day's work shown?"""

from travelers.planning.views.board import board, cell, home, stations
from travelers.planning.views.rooms import air, room, rooms

__all__ = ["air", "board", "cell", "home", "room", "rooms", "stations"]
