"""Who leads the shop, and where were they seen last?"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import OuterRef, Subquery

from travelers.floor.models import Event
from travelers.shop.models import Person

# A lead who scanned within so long is in the house.
LATELY = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Lead:
    """Somebody to call; ``at`` and ``station`` say where they last did something."""

    name: str
    at: datetime | None
    station: str


def leads(*, at: datetime) -> tuple[Lead, ...]:
    """List who may be called, whoever was seen last before the others."""
    last = Event.objects.filter(
        person=OuterRef("pk"), happened_at__range=(at - LATELY, at)
    ).order_by("-happened_at", "-seq")
    rows = (
        Person.objects.filter(is_lead=True, is_active=True)
        .annotate(
            seen_at=Subquery(last.values("happened_at")[:1]),
            seen_where=Subquery(last.values("station__name")[:1]),
        )
        .order_by("first_name", "last_name", "username")
    )
    found = [Lead(str(row), row.seen_at, row.seen_where or "") for row in rows]
    return tuple(sorted(found, key=lambda lead: at - (lead.at or at - LATELY * 2)))
