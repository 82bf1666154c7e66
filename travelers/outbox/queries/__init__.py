"""What does a tablet take along, and what did the shop refuse of what came back?"""

from travelers.outbox.queries.due import Due, due
from travelers.outbox.queries.late import LatePage, late_page

__all__ = ["Due", "LatePage", "due", "late_page"]
