"""What was typed in from a traveler, and what has to be asked about it?"""

from travelers.paper.forms.grid import Grid, grid_of
from travelers.paper.forms.reading import Read, read_sheet

__all__ = ["Grid", "Read", "grid_of", "read_sheet"]
