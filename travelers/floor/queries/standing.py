"""Which events stand: accepted, and not taken back?"""

from django.db.models import QuerySet

from travelers.floor.models import Event, MaterialUse, Reading
from travelers.floor.rules.machine import Wish

# What a station does to a part, as against what is only said of it there.
DONE_AT_A_STATION = (
    Wish.START,
    Wish.FINISH,
    Wish.LOAD,
    Wish.TAKE_OUT,
    Wish.READ,
    Wish.MATE,
    Wish.USE,
)


def standing_readings() -> QuerySet[Reading]:
    """Give the readings that stand."""
    return Reading.objects.filter(event__accepted=True, event__corrected_by=None)


def standing_uses() -> QuerySet[MaterialUse]:
    """Give the uses of materials that stand."""
    return MaterialUse.objects.filter(event__accepted=True, event__corrected_by=None)


def standing_work() -> QuerySet[Event]:
    """Give the events that stand by which a station did something to a part."""
    return Event.objects.filter(
        kind__in=DONE_AT_A_STATION, accepted=True, corrected_by=None
    )
