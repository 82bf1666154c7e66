"""Where is everything on the floor, and what is today's work?"""

from travelers.planning.queries.board import BoardPage, board
from travelers.planning.queries.cells import CellPage, cell
from travelers.planning.queries.stations import StationList, stations
from travelers.planning.queries.today import Today, today

__all__ = [
    "BoardPage",
    "CellPage",
    "StationList",
    "Today",
    "board",
    "cell",
    "stations",
    "today",
]
