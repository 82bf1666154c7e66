"""What was asked about a step's gates, by whom, and what was answered?"""

from dataclasses import dataclass
from datetime import datetime

from travelers.floor.models import Event
from travelers.floor.rules.facts import Notes
from travelers.floor.rules.machine import Wish


@dataclass(frozen=True, slots=True)
class Question:
    """A gate that somebody asked about; ``reason`` is why the answer was no."""

    gate: str
    by: str
    at: datetime
    declined: bool = False
    reason: str = ""


def questions_of(*, notes: Notes) -> tuple[Question, ...]:
    """Say who asked and who said no, oldest first; no query where nobody did."""
    told = [*notes.asked.values(), *(no.event_id for no in notes.declined.values())]
    if not told:
        return ()
    events = Event.objects.filter(event_id__in=told).select_related("person")
    return tuple(
        Question(
            event.data["gate"],
            str(event.person),
            event.happened_at,
            event.kind == Wish.DECLINE,
            event.data.get("reason", ""),
        )
        for event in events.order_by("seq")
    )
