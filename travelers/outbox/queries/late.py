"""What came late out of the tablets' stores and was refused?"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from travelers.kit.refusals import Refusal
from travelers.outbox.models import Latecomer

MOST_OPEN, MOST_SEEN = 300, 50
# What of an entry says more than its kind, and is worth reading.
TELLING = ("value", "mate", "kind", "reason", "note")


@dataclass(frozen=True, slots=True)
class LateRow:
    """One refused entry: what, who, when, why, what to do, and where."""

    id: int
    wish: str
    said: str
    serial: str
    code: str
    station: str
    tablet: str
    person: str
    sent_by: str
    happened_at: datetime | None
    came_at: datetime
    refusal: Refusal
    seen_by: str
    seen_at: datetime | None


@dataclass(frozen=True, slots=True)
class LatePage:
    open: tuple[LateRow, ...]
    seen: tuple[LateRow, ...]
    more: int


def late_page() -> LatePage:
    rows = Latecomer.objects.select_related(
        "instrument", "station", "tablet", "person", "sent_by", "seen_by"
    )
    waiting = rows.filter(seen_at=None)
    count = waiting.count()
    return LatePage(
        tuple(_row(one) for one in waiting.order_by("id")[:MOST_OPEN]),
        tuple(
            _row(one)
            for one in rows.exclude(seen_at=None).order_by("-seen_at", "-id")[
                :MOST_SEEN
            ]
        ),
        max(0, count - MOST_OPEN),
    )


def _row(late: Latecomer) -> LateRow:
    claim = late.claim if isinstance(late.claim, dict) else {}
    return LateRow(
        late.pk,
        late.wish,
        _said(claim.get("data")),
        late.instrument.serial if late.instrument else "",
        str(claim.get("code") or "")[:12],
        late.station.name if late.station else "",
        late.tablet.name if late.tablet else "",
        str(late.person) if late.person else "",
        str(late.sent_by) if late.sent_by else "",
        late.happened_at,
        late.came_at,
        Refusal.registry[late.refusal].about(**late.words),
        str(late.seen_by) if late.seen_by else "",
        late.seen_at,
    )


def _said(data: Any) -> str:
    if not isinstance(data, dict):
        return ""
    told = (str(data[name]) for name in TELLING if data.get(name))
    return ", ".join(told)[:200]
