"""What has the ledger to tell of one instrument, row by row?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from itertools import groupby
from operator import itemgetter
from typing import Any
from uuid import UUID

from django.db.models import Q
from django.utils.translation import gettext

from travelers.floor.models import Event, Hold, Reading
from travelers.floor.rules.machine import Wish
from travelers.floor.rules.origin import Source, clock_is_off
from travelers.floor.rules.undo import UNDOABLE
from travelers.kit.refusals import Refusal
from travelers.kit.words import label
from travelers.orders.models import Instrument
from travelers.routes.models import Characteristic, DefectKind
from travelers.routes.rules import CheckKind

UNNAMED = ("", CheckKind.MEASURED)


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
    typed_in_by: str = ""
    undone: "Undone | None" = None
    corrects: int | None = None
    # What a tablet's clock showed, where that was far from the truth.
    clock_at: datetime | None = None
    # The instrument that the part was in then, where that was another.
    elsewhere: str = ""
    # A swap took the part elsewhere since.
    is_settled: bool = False

    @property
    def can_be_undone(self) -> bool:
        stands = self.accepted and self.undone is None and not self.is_settled
        return stands and self.kind in UNDOABLE


@dataclass(frozen=True, slots=True)
class Undone:
    """Who took something back, when and why."""

    by: str
    at: datetime
    reason: str


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
    typed_in_by: str = ""
    read: str = ""
    undone: Undone | None = None


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
    typed_in_by: str = ""
    photos: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Paper:
    """Where an instrument's papers are found: its order, and its place in it."""

    serial: str
    order: str
    position: int


@dataclass(frozen=True, slots=True)
class SwapRow:
    """A part that went to another instrument, and the one that came from there."""

    at: datetime
    by: str
    reason: str
    branch: str
    gone_code: str
    came_code: str
    other: Paper


def events_of(*, instrument_id: int, part_ids: Iterable[int]) -> list[Event]:
    """Read all events of an instrument, oldest first.

    What was told of its parts while they were in another one is among them.
    """
    return list(
        Event.objects.filter(
            Q(instrument_id=instrument_id) | Q(part_id__in=list(part_ids))
        )
        .select_related(
            "person", "station", "allowed_by", "entered_by", "instrument", "part"
        )
        .order_by("seq")
    )


def swaps_of(events: Iterable[Event]) -> tuple[SwapRow, ...]:
    """List the swaps that were accepted, newest first; no query where there are none.

    ``events`` are the instrument's own.
    """
    found = [e for e in events if e.kind == Wish.SWAP and e.accepted]
    if not found:
        return ()
    others = Instrument.objects.select_related("order").in_bulk(
        {event.data["other"]["instrument"] for event in found}
    )
    return tuple(
        _swap_row(event, others[event.data["other"]["instrument"]])
        for event in reversed(found)
    )


def _swap_row(event: Event, other: Instrument) -> SwapRow:
    return SwapRow(
        at=event.happened_at,
        by=str(event.person),
        reason=event.data["reason"],
        branch=event.part.branch if event.part else "",
        gone_code=event.data["outgoing"]["code"],
        came_code=event.data["incoming"]["code"],
        other=Paper(other.serial, other.order.number, other.position),
    )


@dataclass(frozen=True, slots=True)
class Telling:
    """What is needed to tell of an instrument's events, row by row.

    ``left_at`` says of a part in which event a swap took it out last, or it was
    scrapped; ``checks`` names what was read and says whether a number was.
    """

    instrument_id: int
    titles: Mapping[int, str]
    checks: Mapping[int, tuple[str, CheckKind]]
    undone: "Mapping[int, Undone]"
    left_at: Mapping[int, int]

    @classmethod
    def of(
        cls, instrument_id: int, events: Iterable[Event], titles: Mapping[int, str]
    ) -> "Telling":
        events = list(events)
        left_at = {
            event.part_id or 0: event.seq
            for event in events
            if event.kind in (Wish.SWAP, Wish.REPLACE)
            and event.accepted
            and event.instrument_id == instrument_id
        }
        checks = _checks(events)
        return cls(instrument_id, titles, checks, undone_of(events), left_at)

    def elsewhere(self, event: Event) -> str:
        here = event.instrument_id == self.instrument_id or event.instrument is None
        return "" if here else str(event.instrument)

    def is_settled(self, event: Event) -> bool:
        left = self.left_at.get(event.part_id or 0, 0)
        return bool(self.elsewhere(event)) or event.seq < left


def undone_of(events: Iterable[Event]) -> dict[int, Undone]:
    """Say of each event that was taken back by whom, when and why."""
    return {
        event.corrects_id: Undone(
            str(event.person), event.happened_at, str(event.data.get("reason", ""))
        )
        for event in events
        if event.corrects_id is not None
    }


def event_row(event: Event, telling: Telling) -> EventRow:
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
        operation=telling.titles.get(event.step_id or 0, ""),
        station=event.station.name if event.station else "",
        by=str(event.person),
        allowed_by=str(event.allowed_by) if event.allowed_by else "",
        allowed_reason=event.allowed_reason,
        said=_said(event, telling.checks),
        typed_in_by=typed_in_by(event),
        undone=telling.undone.get(event.seq),
        corrects=event.corrects_id,
        clock_at=_wrong_clock(event),
        elsewhere=telling.elsewhere(event),
        is_settled=telling.is_settled(event),
    )


def typed_in_by(event: Event) -> str:
    """Say who typed in what stood on paper; empty where no paper was between."""
    from_paper = event.source == Source.PAPER and event.entered_by
    return str(event.entered_by) if from_paper else ""


def _wrong_clock(event: Event) -> datetime | None:
    off = clock_is_off(event.tablet_at, event.happened_at)
    return event.tablet_at if off else None


def _refusal(event: Event) -> Refusal | None:
    if not event.refusal:
        return None
    words = event.data.get("words", {})
    return Refusal.registry[event.refusal].about(**words)


def _checks(events: Iterable[Event]) -> dict[int, tuple[str, CheckKind]]:
    """Name the checks that were read; no query where none were."""
    read = {row["check"] for event in events for row in event.data.get("readings", ())}
    rows = Characteristic.objects.filter(pk__in=read) if read else ()
    return {check.pk: (check.name, CheckKind(check.kind)) for check in rows}


def _said(event: Event, checks: Mapping[int, tuple[str, CheckKind]]) -> str:
    """Give what the person said beyond the kind: values, a mate's tag, a reason."""
    if event.kind == Wish.READ:
        places = groupby(event.data.get("readings", ()), key=itemgetter("check"))
        return "; ".join(_told(*checks.get(one, UNNAMED), rows) for one, rows in places)
    if event.kind == Wish.MATE:
        return str(event.data.get("mate", ""))
    if event.kind == Wish.USE:
        return str(event.data.get("serial", ""))
    if event.kind == Wish.WOOD:
        return str(event.data.get("number", ""))
    said = event.data.get("reason") or event.data.get("note")
    return str(said or label(event.data.get("begun", "")))


def _told(name: str, kind: CheckKind, rows: Iterable[Mapping[str, Any]]) -> str:
    return f"{name} {', '.join(_value(row, kind) for row in rows)}"


def _value(row: Mapping[str, Any], kind: CheckKind) -> str:
    """Say one value, what the gauge said, and if that was due."""
    # What was refused early was never judged.
    if kind is CheckKind.JUDGED and "verdict" in row:
        is_good = row["verdict"] == "INSIDE"
        return gettext("good") if is_good else gettext("not good")
    read = f"({row['read']})" if row.get("read") else ""
    due = (
        gettext("– gauge out of calibration")
        if row.get("in_calibration") is False
        else ""
    )
    words = (row.get("value"), row.get("unit"), read, due)
    return " ".join(str(word) for word in words if word)


def readings_of(
    *, instrument_id: int, events: Iterable[Event], undone: Mapping[int, Undone]
) -> tuple[ReadingRow, ...]:
    """Read what was measured of the parts that are in an instrument now."""
    by_pk = {event.pk: event for event in events}
    rows = (
        Reading.objects.filter(event__part__instrument_id=instrument_id)
        .select_related("characteristic", "gauge")
        .order_by("event_id", "id")
    )
    return tuple(
        _reading_row(row, by_pk[row.event_id], undone.get(row.event_id)) for row in rows
    )


def _reading_row(row: Reading, event: Event, undone: Undone | None) -> ReadingRow:
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
        typed_in_by=typed_in_by(event),
        read=_read(row, event),
        undone=undone,
    )


def _read(row: Reading, event: Event) -> str:
    """Give what the gauge said, where its unit was converted."""
    key = (row.characteristic_id, row.place)
    said = (r for r in event.data["readings"] if (r["check"], r["place"]) == key)
    return next((str(r["read"]) for r in said if r.get("read")), "")


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
    """List the defects that were accepted, newest first; of parts that are here."""
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
            typed_in_by=typed_in_by(event),
            photos=tuple(range(1, len(event.data.get("photos", ())) + 1)),
        )
        for event in reversed(found)
    )
