"""What of the ledger can be taken back, and what hangs on it?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import QuerySet

from travelers.floor.models import Event
from travelers.floor.queries.anew import all_steps_told_of
from travelers.floor.queries.swaps import WentTo, scrapped_since, went_to
from travelers.floor.rules import reasons
from travelers.floor.rules.machine import Wish
from travelers.floor.rules.undo import UNDOABLE, Past, Taking, Way, dependents, never
from travelers.kit.refusals import Refusal
from travelers.orders.models import Instrument, Part
from travelers.routes.queries import released_route
from travelers.routes.rules import Branch
from travelers.shop.models import Person


@dataclass(frozen=True, slots=True)
class Undoing:
    """An accepted event that somebody wants to take back, and what hangs on it.

    ``undone_by`` is the event that took it back already, ``went_to`` where its part
    was taken since by a swap, ``scrapped`` says that it was scrapped since.
    """

    event: Event
    target: Past
    hanging: tuple[Past, ...]
    way: Way
    undone_by: Event | None
    went_to: WentTo | None = None
    scrapped: Refusal | None = None

    @property
    def never(self) -> Refusal | None:
        """Say why it cannot go even with all that hangs on it."""
        about = {
            "operation": self.way.title(self.target),
            "kind_word": str(self.target.kind),
        }
        if self.undone_by is not None:
            return reasons.UNDONE_ALREADY.about(
                **about,
                person=str(self.undone_by.person),
                undone_at=self.undone_by.happened_at.isoformat(),
            )
        if self.went_to is not None:
            return reasons.UNDO_SWAPPED.about(
                **about,
                serial=self.went_to.serial,
                swapped_at=self.went_to.at.isoformat(),
            )
        return self.scrapped or never(self.target, self.hanging, self.way)


@dataclass(frozen=True, slots=True)
class LastPress:
    """What the last press did, as the bench offers to take it back."""

    event_id: UUID
    step_id: int
    kind: Wish
    operation: str
    serial: str
    code: str
    # From then on it is the lead's to take back, where that is shown.
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class UndoRow:
    """An event as a lead weighs it who wants to take it back."""

    event_id: str
    seq: int
    kind: Wish
    operation: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class UndoPage:
    """What shall be taken back and what hangs on it, newest first.

    ``never`` says why it cannot go at all, whoever asks.
    """

    serial: str
    code: str
    target: UndoRow
    hanging: tuple[UndoRow, ...]
    never: Refusal | None

    @property
    def seen(self) -> str:
        """Name what hangs on it, so that no more goes than was shown."""
        return " ".join(row.event_id for row in self.hanging)


def find_undoing(*, instrument_id: int, event_id: str) -> Undoing | None:
    """Find an accepted event of an instrument, with what was built on it since."""
    found = _events(instrument_id, event_id=_uuid(event_id)).first()
    if found is None or found.step_id is None:
        return None
    target = _past(found)
    revision_id = Instrument.objects.values_list("revision_id", flat=True).get(
        pk=instrument_id
    )
    way = Way(
        released_route(revision_id=revision_id),
        all_steps_told_of(instrument_id=instrument_id),
    )
    undone_by = found.corrected_by.select_related("person").first()
    later = _events(instrument_id, seq__gt=found.seq, corrected_by=None)
    hanging: tuple[Past, ...] = ()
    if undone_by is None and target.kind in UNDOABLE:
        hanging = dependents(target, [_past(one) for one in later], way)
    gone = scrapped_since(event=found)
    return Undoing(found, target, hanging, way, undone_by, went_to(event=found), gone)


def find_elsewhere(*, event_id: str) -> Undoing | None:
    """Find an event that was told of a part before a swap took it elsewhere."""
    event = Event.objects.filter(event_id=_uuid(event_id), accepted=True).first()
    if event is None or event.instrument_id is None or went_to(event=event) is None:
        return None
    return find_undoing(instrument_id=event.instrument_id, event_id=event_id)


def taking_of(*, person: Person, reason: str, at: datetime) -> Taking:
    return Taking(person.pk, frozenset(person.roles), reason, at, settings.UNDO_WITHIN)


def step_of_event(*, instrument_id: int, event_id: str) -> int | None:
    found = _events(instrument_id, event_id=_uuid(event_id)).first()
    return found.step_id if found else None


def undo_page(*, serial: str, event_id: UUID) -> UndoPage | None:
    part = (
        Part.objects.filter(instrument__serial=serial, branch=Branch.ASSEMBLY)
        .select_related("instrument")
        .first()
    )
    if part is None:
        return None
    found = find_undoing(instrument_id=part.instrument_id, event_id=str(event_id))
    if found is None:
        return None
    return UndoPage(
        serial,
        part.code,
        _undo_row(found.target, found.way),
        tuple(_undo_row(one, found.way) for one in found.hanging),
        found.never,
    )


def _undo_row(past: Past, way: Way) -> UndoRow:
    title = way.title(past)
    at, by = past.happened_at, past.person
    return UndoRow(past.event_id, past.seq, past.kind, title, by, at)


def last_press(*, station_id: int, person: Person, at: datetime) -> LastPress | None:
    """Find what somebody did last at a station, if a touch may take it back."""
    event = (
        Event.objects.filter(
            person=person,
            station_id=station_id,
            happened_at__gte=at - settings.UNDO_WITHIN,
            accepted=True,
            step__isnull=False,
            corrected_by=None,
        )
        # A question takes nothing away from the press before it.
        .exclude(kind__in=[Wish.UNDO, Wish.ASK])
        .select_related("step__operation", "instrument", "part")
        .order_by("-seq")
        .first()
    )
    if event is None or event.kind not in UNDOABLE:
        return None
    assert event.step and event.instrument and event.part  # noqa: S101, PT018 - as asked
    line = event.step.operation
    name = (
        f"{line.name} {event.step.repeat}/{line.times}" if line.times > 1 else line.name
    )
    return LastPress(
        event.event_id,
        event.step.pk,
        Wish(event.kind),
        name,
        event.instrument.serial,
        event.part.code,
        event.happened_at + settings.UNDO_WITHIN + timedelta.resolution,
    )


def _uuid(text: str) -> UUID:
    """Read an event's id; what is none is that of no event."""
    try:
        return UUID(text)
    except ValueError:
        return UUID(int=0)


def _events(instrument_id: int, **more: Any) -> QuerySet[Event]:
    return (
        Event.objects.filter(instrument_id=instrument_id, accepted=True, **more)
        .select_related("person")
        .order_by("seq")
    )


def _past(event: Event) -> Past:
    data: Mapping[str, Any] = event.data
    return Past(
        event.seq,
        str(event.event_id),
        Wish(event.kind),
        event.step_id or 0,
        event.person_id,
        str(event.person),
        event.happened_at,
        data,
    )
