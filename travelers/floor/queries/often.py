"""Which rows does every scan ask for?  Their SQL is made once."""

from collections.abc import Iterator
from itertools import islice
from typing import Any, TypeVar
from uuid import UUID

from django.db import connection, models
from django.db.models import Exists, F, OuterRef, Q, Subquery

from travelers.floor.models import Event
from travelers.kit.rows import MARK, MARK_TEXT, MARK_UUID, OftenAsked
from travelers.orders.models import Instrument, Part, Step, WorkOrder
from travelers.orders.rules import OPEN_STATES
from travelers.routes.models import InstrumentModel, Revision
from travelers.shop.models import NeedsQualification, Station

Row = TypeVar("Row", bound=models.Model)

STEP_COLUMNS = (
    "id",
    "part_id",
    "operation_id",
    "position",
    "repeat",
    "turn",
    "state",
    "stage_id",
    "station_id",
    "ready_at",
    "started_at",
    "dwell_until",
    "finished_at",
    "at_station_id",
    "stage__name",
    "station__name",
)
# A part's row, and behind it that of its instrument, order, revision and model.
ROWS: tuple[tuple[type[models.Model], str], ...] = (
    (Part, ""),
    (Instrument, "instrument__"),
    (WorkOrder, "instrument__order__"),
    (Revision, "instrument__revision__"),
    (InstrumentModel, "instrument__revision__model__"),
)
NAMES = {row: [field.attname for field in row._meta.concrete_fields] for row, _ in ROWS}


# A station by its code or its tag, as the floor's rules know a place.
place_rows = OftenAsked(
    lambda code: Station.objects.filter(Q(code=code) | Q(tag=code)).values_list(
        "id", "code", "name", "stage_id", "stage__name", "attended", "places"
    ),
    MARK_TEXT,
)
# An id that no client makes: nothing is looked for.
NO_EVENT = UUID(int=0)

open_step_rows = OftenAsked(
    lambda instrument_id: (
        Step.objects.filter(instrument_id=instrument_id, state__in=OPEN_STATES)
        .order_by("part_id", "position")
        .values_list(*STEP_COLUMNS)
    )
)
_whose_step = OftenAsked(
    lambda step_id: Step.objects.filter(pk=step_id).values_list(
        "instrument_id", "part_id"
    )
)
# The instrument alone is locked: with its step, two scans would lock in two orders.
_lock_whose_step = OftenAsked(
    lambda step_id: (
        Instrument.objects.select_for_update(of=("self",))
        .filter(steps=step_id)
        .only("pk")
        .annotate(part=F("steps__part_id"))
    )
)
_lock = OftenAsked(
    lambda instrument_id: (
        Instrument.objects.select_for_update()
        .filter(pk=instrument_id)
        .values_list("pk")
    )
)
# What the next event of an instrument hangs on.
_last_digest = Subquery(
    Event.objects.filter(instrument=OuterRef("instrument"))
    .order_by("-seq")
    .values("digest")[:1]
)
_part_rows = OftenAsked(
    lambda instrument_id, event_id: (
        Part.objects.filter(instrument_id=instrument_id)
        .order_by("id")
        .values_list(
            *(before + name for row, before in ROWS for name in NAMES[row]),
            _last_digest,
            Exists(Event.objects.filter(event_id=event_id)),
            Exists(NeedsQualification.objects.all()),
        )
    ),
    MARK,
    MARK_UUID,
)


def whose_step(step_id: int) -> tuple[int, int] | None:
    """Say of which instrument and part a step is; that never changes."""
    return next(((row[0], row[1]) for row in _whose_step(step_id)), None)


def lock_whose_step(step_id: int) -> tuple[int, int] | None:
    """Say the same, and lock the instrument."""
    return next(((row[0], row[1]) for row in _lock_whose_step(step_id)), None)


def lock_instrument(instrument_id: int) -> None:
    _lock(instrument_id)


def whole_parts(
    instrument_id: int, event_id: UUID = NO_EVENT
) -> tuple[tuple[Part, ...], str, bool, bool]:
    """Read an instrument's parts with the one instrument, order and model of all.

    With them comes the digest of its last event, empty where there is none, whether
    the event of that id is in the ledger, and whether the shop asks for
    qualifications anywhere: where it does not, no scan looks for one.
    """
    parts: list[Part] = []
    instrument: Instrument | None = None
    last_digest, known, asks_skill = "", False, False
    for values in map(iter, _part_rows(instrument_id, event_id)):
        part = _take(Part, values)
        if instrument is None:
            instrument = _take(Instrument, values)
            instrument.order = _take(WorkOrder, values)
            instrument.revision = _take(Revision, values)
            instrument.revision.model = _take(InstrumentModel, values)
        part.instrument = instrument
        parts.append(part)
        # A part without its instrument's other rows leaves them in the iterator.
        *_, last, known, asks_skill = values
        last_digest = last or ""
    return tuple(parts), last_digest, bool(known), bool(asks_skill)


def _take(row: type[Row], values: Iterator[Any]) -> Row:
    """Make a row of the next of the values, as Django does it."""
    names = NAMES[row]
    return row.from_db(connection.alias, names, list(islice(values, len(names))))
