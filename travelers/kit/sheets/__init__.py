"""How is a list read that somebody wrote in a spreadsheet or a logger?"""

from travelers.kit.sheets.cells import Fault, shown
from travelers.kit.sheets.columns import Column
from travelers.kit.sheets.moments import Moment
from travelers.kit.sheets.read import Line, Sheet, read_sheet

__all__ = [
    "Column",
    "Fault",
    "Line",
    "Moment",
    "Sheet",
    "read_sheet",
    "shown",
]
