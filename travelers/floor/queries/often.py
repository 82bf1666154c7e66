"""Which rows does every scan ask for?  Their SQL is made once."""

from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, Subquery

from travelers.floor.models import Event
from travelers.kit.rows import MARK, MARK_TEXT, MARK_UUID, OftenAsked
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import OPEN_STATES
from travelers.shop.models import NeedsQualification, Station

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
PART_COLUMNS = (
    "id",
    "branch",
    "code",
    "plank_set_id",
    "held_at",
    "stage_id",
    "look",
    "since",
    "scrapped_at",
    "wants_wood",
)
# A part's row, and behind it what is to be known of its instrument.
BENCH_COLUMNS = (
    *PART_COLUMNS,
    "instrument_id",
    "instrument__serial",
    "instrument__position",
    "instrument__revision_id",
    "instrument__state",
    "instrument__closed_at",
    "instrument__held_at",
    "instrument__revision__model__name",
    "instrument__revision__model__shape",
    "instrument__order__finish",
    "instrument__order__number",
    "instrument__order__due_on",
)

# A station by its code or its tag, as the floor's rules know a place.
place_rows = OftenAsked(
    lambda code: Station.objects.filter(Q(code=code) | Q(tag=code)).values_list(
        "id",
        "code",
        "name",
        "stage_id",
        "stage__name",
        "attended",
        "places",
        "room__limit_pct",
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
# Behind each part's row: the digest of the instrument's last event, none where there
# is none; whether the event of that id is in the ledger; and whether the shop asks for
# qualifications anywhere: where it does not, no scan looks for one.
bench_rows = OftenAsked(
    lambda instrument_id, event_id: (
        Part.objects.filter(instrument_id=instrument_id)
        .order_by("id")
        .values_list(
            *BENCH_COLUMNS,
            _last_digest,
            Exists(Event.objects.filter(event_id=event_id)),
            Exists(NeedsQualification.objects.all()),
        )
    ),
    MARK,
    MARK_UUID,
)


def whose_step(step_id: int) -> tuple[int, int] | None:
    """Say of which instrument and part a step is."""
    return next(((row[0], row[1]) for row in _whose_step(step_id)), None)


def lock_whose_step(step_id: int) -> tuple[int, int] | None:
    """Say the same, and lock the instrument."""
    return next(((row[0], row[1]) for row in _lock_whose_step(step_id)), None)


def lock_instrument(instrument_id: int) -> None:
    _lock(instrument_id)
