"""How is an event written, chained, and answered again the same?"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from travelers.floor.models import Event
from travelers.floor.rules.bench import Bench
from travelers.floor.rules.machine import Wish
from travelers.kit.refusals import Refusal

# What the digest covers, in this order; a column added later joins at the end
# and only where it is set, so that old rows keep their digest.
COVERED = (
    "event_id",
    "kind",
    "instrument_id",
    "part_id",
    "step_id",
    "station_id",
    "person_id",
    "code",
    "happened_at",
    "recorded_at",
    "data",
    "accepted",
    "refusal",
    "came_late",
    "allowed_by_id",
    "allowed_reason",
    "corrects_id",
    "wish_digest",
    "previous_digest",
)


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer to a wish; a repeat of the same event gets the same one.

    ``bench`` is how the instrument stands now; None where the code is unknown.
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
    allowed_by_id: int | None = None


def canonical(content: Mapping[str, Any]) -> bytes:
    return json.dumps(
        content,
        default=_plain,
        ensure_ascii=False,
        separators=(",", ":"),
        sort_keys=True,
    ).encode()


def _plain(value: object) -> str:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="microseconds")
    return str(value)


def digest_of(event: Event) -> str:
    content = {name: getattr(event, name) for name in COVERED}
    return hashlib.sha256(canonical(content)).hexdigest()


def wish_digest_of(**wish: Any) -> str:
    """Say what was wished, so that one id with two contents is found out."""
    return hashlib.sha256(canonical(wish)).hexdigest()


def append(event: Event, *, last: Event | None) -> Event:
    """Chain an event to the last of its instrument and write it."""
    event.previous_digest = last.digest if last else ""
    event.digest = digest_of(event)
    event.save(force_insert=True)
    return event


def verdict_of(event: Event, *, bench: Bench | None, repeated: bool) -> Verdict:
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
        allowed_by_id=event.allowed_by_id,
    )
