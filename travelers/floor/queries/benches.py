"""What lies on the bench, and what has been noted of it?  One query each."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Count, F, Max, Q, Subquery

from travelers.floor.models import Event, Hold
from travelers.floor.rules.bench import Bench, PartNow, StepNow
from travelers.floor.rules.facts import Held, Notes, Place
from travelers.floor.rules.machine import State, Wish
from travelers.lumber.models import Piece
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import OPEN_STATES, InstrumentState, Look
from travelers.routes.queries import released_route
from travelers.routes.rules import Branch, Joins
from travelers.shop.models import Station

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
STEP_FIELDS = tuple(name.removesuffix("__name") for name in STEP_COLUMNS)


@dataclass(frozen=True, slots=True)
class Found:
    """An instrument's row and parts, and which part a code or step named."""

    instrument: Instrument
    parts: tuple[Part, ...]
    part_id: int


def find_place(*, code: str) -> Place | None:
    """Find a station by its code or its tag, with the places that are free."""
    row = (
        Station.objects.filter(Q(code=code) | Q(tag=code))
        .annotate(
            lying=Count(
                "lying_steps",
                filter=Q(lying_steps__state=State.DWELLING),
                distinct=True,
            )
        )
        .select_related("stage")
        .first()
    )
    if row is None:
        return None
    return Place(
        row.pk,
        row.code,
        row.name,
        row.stage_id,
        row.stage.name,
        row.attended,
        row.places,
        row.places - row.lying,
    )


def find_bench(
    *, code: str = "", step_id: int | None = None, lock: bool = False
) -> Found | None:
    """Find an instrument by a tag, a piece's label or one of its steps.

    With ``lock`` the instrument's row is locked: one lock for all its branches,
    because a join looks at two of them.
    """
    rows = (
        Part.objects.filter(_names(code, step_id))
        .select_related("instrument__order", "instrument__revision__model")
        .annotate(named_id=F("instrument__parts__id"))
        .order_by("id")
    )
    if lock:
        rows = rows.select_for_update(of=("instrument",))
    parts = tuple(rows)
    if not parts:
        return None
    return Found(parts[0].instrument, parts, parts[0].named_id)


def _names(code: str, step_id: int | None) -> Q:
    """Say which of an instrument's parts is named, by step, wood or tag."""
    if step_id is not None:
        return Q(instrument__parts__steps=step_id)
    if code.startswith("W"):
        return Q(instrument__parts__plank_set__pieces__code=code)
    if code.startswith("S"):
        return Q(instrument__parts__plank_set__code=code)
    return Q(instrument__parts__code=code)


def bench_of(found: Found) -> Bench:
    """Lay an instrument on the bench: its parts and its open steps."""
    instrument = found.instrument
    steps = (
        Step.objects.filter(instrument=instrument, state__in=OPEN_STATES)
        .order_by("part_id", "position")
        .values_list(*STEP_COLUMNS)
    )
    return Bench(
        instrument_id=instrument.pk,
        serial=instrument.serial,
        position=instrument.position,
        route=released_route(revision_id=instrument.revision_id),
        parts=tuple(part_now(part) for part in found.parts),
        steps=tuple(step_now(row) for row in steps),
        state=InstrumentState(instrument.state),
        closed_at=instrument.closed_at,
        held_at=instrument.held_at,
    )


def part_now(part: Part) -> PartNow:
    return PartNow(
        part.pk,
        Branch(part.branch),
        part.code,
        part.plank_set_id,
        part.held_at,
        part.stage_id,
        Look(part.look) if part.look else None,
        part.since,
    )


def step_now(row: tuple[Any, ...]) -> StepNow:
    """Read a row of STEP_COLUMNS; a step without a station is done at any of its stage."""
    named = dict(zip(STEP_FIELDS, row, strict=True))
    named["state"] = State(named["state"])
    named["station"] = named["station"] or ""
    return StepNow(**named)


def closed_step(*, step_id: int) -> tuple[StepNow, str] | None:
    """Find a step that is done or dropped, and who finished it."""
    row = Step.objects.filter(pk=step_id).values_list(*STEP_COLUMNS).first()
    if row is None:
        return None
    last = (
        Event.objects.filter(
            step_id=step_id, accepted=True, kind__in=[Wish.FINISH, Wish.TAKE_OUT]
        )
        .select_related("person")
        .order_by("-seq")
        .first()
    )
    return step_now(row), str(last.person) if last else ""


def steps_by_id(*, step_ids: Iterable[int]) -> dict[int, StepNow]:
    rows = Step.objects.filter(pk__in=list(step_ids)).values_list(*STEP_COLUMNS)
    return {row[0]: step_now(row) for row in rows}


def known_events(*, event_id: UUID, instrument_id: int | None) -> list[Event]:
    """Find the event of that id, and the last one of the instrument's chain."""
    wanted = Q(event_id=event_id)
    if instrument_id is not None:
        own = Event.objects.filter(instrument_id=instrument_id)
        top = own.values("instrument_id").annotate(top=Max("seq")).values("top")
        wanted |= Q(seq=Subquery(top))
    return list(Event.objects.filter(wanted))


def notes_of(*, step_id: int) -> Notes:
    return Notes.of(
        Event.objects.filter(step_id=step_id, accepted=True)
        .order_by("seq")
        .values_list("kind", "data", "event_id", "person_id")
    )


def held_of(bench: Bench, *, part_id: int) -> Held | None:
    """Find the oldest open hold that stops a part; no query where nothing is held."""
    part = bench.part(part_id)
    if bench.held_at is None and part.held_at is None:
        return None
    hold = (
        Hold.objects.filter(instrument_id=bench.instrument_id, lifted__isnull=True)
        .filter(Q(part__isnull=True) | Q(part_id=part_id))
        .select_related("event__person")
        .order_by("event__happened_at", "event_id")
        .first()
    )
    if hold is None:
        return None
    return Held(
        bench.serial, hold.event.happened_at, str(hold.event.person), hold.reason
    )


def mates_of(bench: Bench, step: StepNow) -> dict[str, str]:
    """Give the codes that a join asks for, with the words for each."""
    line = bench.route.by_id[step.operation_id]
    if line.joins is Joins.BRANCHES:
        branches = bench.route.branches_joined_by(line)
        parts = [bench.part_of(branch) for branch in branches]
        return {part.code: f"{part.branch.lower()} {part.code}" for part in parts}
    if line.joins is Joins.PIECES:
        part = bench.part(step.part_id)
        pieces = Piece.objects.filter(plank_set_id=part.plank_set_id).order_by("letter")
        return {
            code: f"{number}-{letter}"
            for code, number, letter in pieces.values_list(
                "code", F("plank_set__number"), "letter"
            )
        }
    return {}
