"""How is something said of a part from a desk, where no station is?"""

from typing import Any
from uuid import UUID

from django.http import HttpRequest
from django.utils import timezone

from travelers.floor.actions import Verdict, record
from travelers.floor.rules import Wish
from travelers.kit.people import person_of


def record_now(
    request: HttpRequest,
    wish: Wish,
    *,
    code: str,
    event_id: UUID,
    said: dict[str, Any],
) -> Verdict:
    """Record what whoever is signed in says of a part at this moment."""
    at = timezone.now()
    return record(
        wish=wish,
        code=code,
        station=None,
        person=person_of(request),
        event_id=event_id,
        at=at,
        heard_at=at,
        data=said,
    )
