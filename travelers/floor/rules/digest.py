"""What does an event's digest cover, and how is it worked out?  Pure."""

import hashlib
import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

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
# Each with what says nothing.
ADDED = {
    "tablet_id": None,
    "tablet_number": None,
    "tablet_at": None,
    "entered_by_id": None,
    "source": "SCREEN",
}


def digest_of(event: object) -> str:
    """Work out the SHA-256 of an event's canonical text, from its columns alone."""
    content = {name: getattr(event, name) for name in COVERED}
    for name, plain in ADDED.items():
        if (value := getattr(event, name)) != plain:
            content[name] = value
    return sha256(content)


def sha256(content: Mapping[str, Any]) -> str:
    return hashlib.sha256(canonical(content)).hexdigest()


def canonical(content: Mapping[str, Any]) -> bytes:
    """Write a content in one way only: sorted, without spaces, moments in UTC."""
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
