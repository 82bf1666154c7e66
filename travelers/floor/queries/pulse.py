"""Has anything happened since a screen was drawn?"""

from django.db.models import Count, Max, Model, QuerySet, Subquery

from travelers.floor.models import Event
from travelers.floor.queries.pins import pins_pulse
from travelers.orders.models import Instrument

# On PostgreSQL numbers are given out before the commit, so that a row may come
# in below the newest.  So many below are counted too; no more writers than that
# are under way at once.
STILL_COMING = 200
# An order of 500 instruments is released in one commit.
STILL_RELEASED = 1000


def pulse() -> str:
    """Give a word that changes with every event, release of an order and pin."""
    events = _newest(Event.objects.all(), "seq", STILL_COMING)
    instruments = _newest(Instrument.objects.all(), "id", STILL_RELEASED)
    return f"{events}-{instruments}-{pins_pulse()}"


def _newest(rows: QuerySet[Model], number: str, below: int) -> str:
    """Name the newest row, and how many lie close below it."""
    newest = rows.order_by(f"-{number}").values(number)[:1]
    seen = rows.filter(**{f"{number}__gt": Subquery(newest) - below}).aggregate(
        newest=Max(number), near=Count("*")
    )
    return f"{seen['newest'] or 0}.{seen['near']}"
