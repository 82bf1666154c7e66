"""Which things does a text mean, of all that have a number, a code or a name?"""

from travelers.quality.queries.everything.looking import Lot, Search, search_all
from travelers.quality.queries.everything.telling import Found, Sort

__all__ = ["Found", "Lot", "Search", "Sort", "search_all"]
