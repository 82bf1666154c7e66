"""How is an event written, chained, and answered again the same?"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from travelers.floor.models import Event
from travelers.floor.rules import digest
from travelers.floor.rules.bench import Bench
from travelers.floor.rules.machine import Wish
from travelers.kit.refusals import Refusal
from travelers.kit.rows import add_row


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer to a wish; a repeat of the same event gets the same one.

    ``bench`` is how the instrument stands now; None where the code is unknown.
    ``operation`` says what it was about, to whoever hears it first.
    """

    event_id: UUID
    seq: int
    wish: Wish
    accepted: bool
    refusal: Refusal | None
    repeated: bool
    bench: Bench | None
    part_id: int | None
    step_id: int | None
    happened_at: datetime
    person_id: int
    allowed_by_id: int | None = None
    operation: str = ""


def wish_digest_of(**wish: Any) -> str:
    """Say what was wished, so that one id with two contents is found out."""
    return digest.sha256(wish)


def append(event: Event, *, last_digest: str) -> Event:
    """Chain an event to the last of its instrument and write it."""
    event.previous_digest = last_digest
    event.digest = digest.digest_of(event)
    add_row(event)
    return event


def verdict_of(
    event: Event, *, bench: Bench | None, repeated: bool, operation: str = ""
) -> Verdict:
    """Tell an event as the answer that its sender gets, now and at each repeat."""
    refusal = None
    if event.refusal:
        refusal = Refusal.registry[event.refusal].about(**event.data.get("words", {}))
    return Verdict(
        event_id=event.event_id,
        seq=event.seq,
        wish=Wish(event.kind),
        accepted=event.accepted,
        refusal=refusal,
        repeated=repeated,
        bench=bench,
        part_id=event.part_id,
        step_id=event.step_id,
        happened_at=event.happened_at,
        person_id=event.person_id,
        allowed_by_id=event.allowed_by_id,
        operation=operation,
    )
