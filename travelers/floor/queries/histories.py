"""What has the ledger to tell of one instrument, row by row?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from travelers.floor.models import Event, Hold, Reading
from travelers.floor.rules.machine import Wish
from travelers.floor.rules.origin import clock_is_off
from travelers.kit.refusals import Refusal
from travelers.routes.models import DefectKind
from travelers.routes.rules import CheckKind


@dataclass(frozen=True, slots=True)
class EventRow:
    """One claim from the floor, accepted or refused."""

    seq: int
    event_id: UUID
    kind: Wish
    happened_at: datetime
    recorded_at: datetime
    came_late: bool
    accepted: bool
    refusal: Refusal | None
    part_id: int | None
    step_id: int | None
    operation: str
    station: str
    by: str
    allowed_by: str
    allowed_reason: str
    said: str
    # What a tablet's clock showed, where that was far from the truth.
    clock_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ReadingRow:
    at: datetime
    check: str
    place: str
    value: Decimal
    unit: str
    lower: Decimal | None
    upper: Decimal | None
    verdict: str
    gauge: str
    gauge_overdue: bool
    by: str
    judged: bool


@dataclass(frozen=True, slots=True)
class HoldRow:
    event_id: UUID
    branch: str
    reason: str
    at: datetime
    by: str
    lifted_at: datetime | None
    lifted_by: str


@dataclass(frozen=True, slots=True)
class DefectRow:
    event_id: UUID
    at: datetime
    kind: str
    severity: str
    note: str
    part_id: int | None
    station: str
    by: str


def events_of(*, instrument_id: int) -> list[Event]:
    """Read all events of an instrument, oldest first."""
    return list(
        Event.objects.filter(instrument_id=instrument_id)
        .select_related("person", "station", "allowed_by")
        .order_by("seq")
    )


def event_row(event: Event, titles: Mapping[int, str]) -> EventRow:
    return EventRow(
        seq=event.seq,
        event_id=event.event_id,
        kind=Wish(event.kind),
        happened_at=event.happened_at,
        recorded_at=event.recorded_at,
        came_late=event.came_late,
        accepted=event.accepted,
        refusal=_refusal(event),
        part_id=event.part_id,
        step_id=event.step_id,
        operation=titles.get(event.step_id or 0, ""),
        station=event.station.name if event.station else "",
        by=str(event.person),
        allowed_by=str(event.allowed_by) if event.allowed_by else "",
        allowed_reason=event.allowed_reason,
        said=_said(event),
        clock_at=_wrong_clock(event),
    )


def _wrong_clock(event: Event) -> datetime | None:
    off = clock_is_off(event.tablet_at, event.happened_at)
    return event.tablet_at if off else None


def _refusal(event: Event) -> Refusal | None:
    if not event.refusal:
        return None
    words = event.data.get("words", {})
    return Refusal.registry[event.refusal].about(**words)


def _said(event: Event) -> str:
    """Give what the person said beyond the kind: values, a mate's tag, a reason."""
    if event.kind == Wish.READ:
        rows = event.data.get("readings", ())
        told = (
            f"{row.get('code', '')} {row.get('value', '')} {row.get('unit', '')}"
            for row in rows
        )
        return ", ".join(" ".join(one.split()) for one in told)
    if event.kind == Wish.MATE:
        return str(event.data.get("mate", ""))
    return str(event.data.get("reason") or event.data.get("note") or "")


def readings_of(
    *, instrument_id: int, events: Iterable[Event]
) -> tuple[ReadingRow, ...]:
    by_pk = {event.pk: event for event in events}
    rows = (
        Reading.objects.filter(event__instrument_id=instrument_id)
        .select_related("characteristic", "gauge")
        .order_by("event_id", "id")
    )
    return tuple(_reading_row(row, by_pk[row.event_id]) for row in rows)


def _reading_row(row: Reading, event: Event) -> ReadingRow:
    check = row.characteristic
    place = f"{check.place_name} {row.place}".strip() if check.places > 1 else ""
    return ReadingRow(
        at=event.happened_at,
        check=check.name,
        place=place,
        value=round(row.value, check.decimals),
        unit=row.unit,
        lower=None if check.lower is None else round(check.lower, check.decimals),
        upper=None if check.upper is None else round(check.upper, check.decimals),
        verdict=row.verdict,
        gauge=row.gauge.name if row.gauge else "",
        gauge_overdue=row.in_calibration is False,
        by=str(event.person),
        judged=check.kind == CheckKind.JUDGED,
    )


def holds_of(*, instrument_id: int) -> tuple[HoldRow, ...]:
    """Read all holds of an instrument and its parts, open ones first."""
    rows = (
        Hold.objects.filter(instrument_id=instrument_id)
        .select_related("event__person", "part", "lifted__person")
        .order_by("-event_id")
    )
    told = [
        HoldRow(
            event_id=row.event.event_id,
            branch=row.part.branch if row.part else "",
            reason=row.reason,
            at=row.event.happened_at,
            by=str(row.event.person),
            lifted_at=row.lifted.happened_at if row.lifted else None,
            lifted_by=str(row.lifted.person) if row.lifted else "",
        )
        for row in rows
    ]
    return tuple(sorted(told, key=lambda hold: hold.lifted_at is not None))


def defects_of(events: Iterable[Event]) -> tuple[DefectRow, ...]:
    """List the defects that were accepted, newest first."""
    found = [e for e in events if e.kind == Wish.DEFECT and e.accepted]
    named = {str(event.data.get("kind", "")) for event in found}
    kinds = dict(DefectKind.objects.filter(code__in=named).values_list("code", "name"))
    return tuple(
        DefectRow(
            event_id=event.event_id,
            at=event.happened_at,
            kind=kinds.get(str(event.data.get("kind")), str(event.data.get("kind"))),
            severity=str(event.data.get("severity", "")),
            note=str(event.data.get("note", "")),
            part_id=event.part_id,
            station=event.station.name if event.station else "",
            by=str(event.person),
        )
        for event in reversed(found)
    )
