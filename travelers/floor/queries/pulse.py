"""Has anything happened since a screen was drawn?"""

from typing import Any

from django.db.models import Count, Max, QuerySet, Subquery, Value

from travelers.floor.models import Event, Pin
from travelers.kit.rows import OftenAsked
from travelers.orders.models import Instrument
from travelers.shop.models import Cutter

# On PostgreSQL numbers are given out before the commit, so that a row may come
# in below the newest.  So many below are counted too; no more writers than that
# are under way at once.
STILL_COMING = 200
# An order of 500 instruments is released in one commit.
STILL_RELEASED = 1000


def pulse() -> str:
    """Give a word that changes with every event, release, pin and change of a cutter.

    One statement, made once: every screen asks it again and again.
    """
    told = {of: f"{newest or 0}.{count}" for of, newest, count in _told(0)}
    return "-".join(told[of] for of in range(len(told)))


def _felt(rows: QuerySet[Any], number: str, of: int) -> QuerySet[Any]:
    """Name the newest of some rows and count them."""
    told: QuerySet[Any] = rows.order_by().annotate(of=Value(of)).values("of")
    felt: QuerySet[Any] = told.annotate(newest=Max(number), near=Count("*"))
    return felt.values_list("of", "newest", "near")


def _close(rows: QuerySet[Any], number: str, below: int) -> QuerySet[Any]:
    """Keep the newest row and those close below it."""
    newest = rows.order_by(f"-{number}").values(number)[:1]
    return rows.filter(**{f"{number}__gt": Subquery(newest) - below})


# Nothing is asked for but this: the number that it is given stands nowhere in it.
_told = OftenAsked(
    lambda _: _felt(_close(Event.objects.all(), "seq", STILL_COMING), "seq", 0).union(
        _felt(_close(Instrument.objects.all(), "id", STILL_RELEASED), "id", 1),
        _felt(Pin.objects.filter(lifted_at__isnull=True), "id", 2),
        _felt(Cutter.objects.filter(taken_off_at__isnull=True), "id", 3),
        all=True,
    )
)
