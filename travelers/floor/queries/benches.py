"""What lies on the bench, and what has been noted of it?  One query each."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import F, Q

from travelers.floor.models import Event, Hold
from travelers.floor.queries.often import (
    NO_EVENT,
    PART_COLUMNS,
    STEP_COLUMNS,
    bench_rows,
    lock_instrument,
    lock_whose_step,
    open_step_rows,
    place_rows,
    whose_step,
)
from travelers.floor.rules.bench import About, Bench, PartNow, StepNow
from travelers.floor.rules.facts import Held, Notes, Place
from travelers.floor.rules.fold import Told
from travelers.floor.rules.machine import State, Wish
from travelers.formulas.codes import grouped
from travelers.kit.faults import Overtaken
from travelers.lumber.models import Piece
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import InstrumentState, Look
from travelers.routes.queries import released_route
from travelers.routes.rules import Branch, Joins, Line
from travelers.shop.models import Station

STATE = STEP_COLUMNS.index("state")
STATES = {state.value: state for state in State}
PART_WIDTH = len(PART_COLUMNS)
Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """An instrument with its parts, in rows, and which part a code or step named.

    ``last_digest`` is what its next event hangs on; ``known`` says that the event
    that was asked for is in the ledger already.
    """

    instrument_id: int
    rows: tuple[Row, ...]
    part_id: int
    last_digest: str = ""
    known: bool = False
    asks_skill: bool = False


def find_place(*, code: str) -> Place | None:
    """Find a station by its code or its tag; a holding one with its free places."""
    for pk, own, name, stage_id, stage, attended, places, limit in place_rows(code):
        lying = 0 if attended else lying_at(station_id=pk)
        free = max(0, places - lying)
        return Place(
            pk, own, name, stage_id, stage, bool(attended), places, free, limit
        )
    return None


def lying_at(*, station_id: int, at: datetime | None = None) -> int:
    """Count what lies at a station now, or lay there at a moment that is past."""
    steps = Step.objects.filter(at_station_id=station_id)
    if at is None:
        return steps.filter(state=State.DWELLING).count()
    lay = Q(state=State.DWELLING) | Q(finished_at__gt=at)
    return steps.filter(lay, started_at__lte=at).count()


def count_again(*, place: Place, at: datetime | None = None) -> Place:
    """Lock a station and count its free places again, now or at a moment past.

    Two parts that are loaded at once have no instrument in common to lock, and
    both were counted for before.
    """
    Station.objects.select_for_update(no_key=True).get(pk=place.id)
    # What was taken out by mistake lies there again, whoever came in meanwhile.
    free = max(0, place.places - lying_at(station_id=place.id, at=at))
    return replace(place, places_free=free)


def find_bench(
    *,
    code: str = "",
    step_id: int | None = None,
    lock: bool = False,
    event_id: UUID = NO_EVENT,
) -> Found | None:
    """Find an instrument by a tag, a piece's label or one of its steps.

    With ``lock`` the instrument's row is locked: one lock for all its branches,
    because a join looks at two of them.  Once it is, it is looked whether the event
    of ``event_id`` came before.

    Raises
    ------
    Overtaken
        While the lock was waited for, the part went to another instrument.
    """
    if step_id is not None:
        whose = lock_whose_step(step_id) if lock else whose_step(step_id)
    else:
        whose = _whose_code(code)
    if whose is None:
        return None
    instrument_id, part_id = whose
    if lock and step_id is None:
        lock_instrument(instrument_id)
    rows = bench_rows(instrument_id, event_id)
    last_digest, known, asks_skill = rows[0][-3:]
    own = tuple(row[:-3] for row in rows)
    if lock and all(row[0] != part_id for row in own):
        raise Overtaken
    return Found(
        instrument_id, own, part_id, last_digest or "", bool(known), bool(asks_skill)
    )


def _whose_code(code: str) -> tuple[int, int] | None:
    """Say of which instrument and part a tag or a piece's label is."""
    named = Q(code=code)
    if code.startswith("W"):
        named = Q(plank_set__pieces__code=code)
    elif code.startswith("S"):
        named = Q(plank_set__code=code)
    return Part.objects.filter(named).values_list("instrument_id", "pk").first()


def bench_of(*, found: Found) -> Bench:
    """Lay an instrument on the bench: its parts and its open steps."""
    return lay(
        rows=found.rows,
        steps=open_steps(instrument_id=found.instrument_id),
        asks_skill=found.asks_skill,
    )


def lay(*, rows: Sequence[Row], steps: Iterable[StepNow], asks_skill: bool) -> Bench:
    """Lay an instrument on the bench that was read by BENCH_COLUMNS, a row a part."""
    pk, serial, position, revision_id, state, closed, held, *told = rows[0][PART_WIDTH:]
    return Bench(
        instrument_id=pk,
        serial=serial,
        position=position,
        route=released_route(revision_id=revision_id),
        parts=tuple(part_row(*row[:PART_WIDTH]) for row in rows),
        steps=tuple(steps),
        state=InstrumentState(state),
        closed_at=closed,
        held_at=held,
        about=About(*told),
        asks_skill=asks_skill,
    )


def about(instrument: Instrument) -> About:
    order, model = instrument.order, instrument.revision.model
    return About(model.name, model.shape, order.finish, order.number, order.due_on)


def open_steps(*, instrument_id: int) -> tuple[StepNow, ...]:
    """Read the open steps of an instrument, part by part in their order."""
    return tuple(step_now(row) for row in open_step_rows(instrument_id))


def part_now(part: Part) -> PartNow:
    return part_row(*(getattr(part, name) for name in PART_COLUMNS))


def part_row(  # noqa: PLR0913 - one for each of PART_COLUMNS
    part_id: int,
    branch: str,
    code: str,
    plank_set_id: int | None,
    held_at: datetime | None,
    stage_id: int | None,
    look: str,
    since: datetime | None,
    scrapped_at: datetime | None,
    wants_wood: bool,
) -> PartNow:
    """Read a row of PART_COLUMNS."""
    seen = Look(look) if look else None
    return PartNow(
        part_id,
        Branch(branch),
        code,
        plank_set_id,
        held_at,
        stage_id,
        seen,
        since,
        scrapped_at,
        bool(wants_wood),
    )


def step_now(row: tuple[Any, ...]) -> StepNow:
    """Read a row of STEP_COLUMNS; no station means any station of the stage."""
    values = list(row)
    values[STATE] = STATES[values[STATE]]
    values[-1] = values[-1] or ""
    return StepNow(*values)


def closed_step(*, step_id: int) -> tuple[StepNow, str] | None:
    """Find a step that is done or dropped, and who finished it."""
    row = Step.objects.filter(pk=step_id).values_list(*STEP_COLUMNS).first()
    if row is None:
        return None
    last = (
        Event.objects.filter(
            step_id=step_id,
            accepted=True,
            corrected_by=None,
            kind__in=[Wish.FINISH, Wish.TAKE_OUT],
        )
        .select_related("person")
        .order_by("-seq")
        .first()
    )
    return step_now(row), str(last.person) if last else ""


def began_by(*, step_id: int) -> str:
    """Say who began a step that is in work or lies somewhere."""
    begun = Event.objects.filter(
        step_id=step_id, accepted=True, kind__in=[Wish.START, Wish.LOAD]
    ).select_related("person")
    last = begun.order_by("-seq").first()
    return str(last.person) if last else ""


def known_event(*, event_id: UUID) -> Event | None:
    return Event.objects.filter(event_id=event_id).first()


def notes_of(*, step_id: int) -> Notes:
    return Notes.of(
        Event.objects.filter(step_id=step_id, accepted=True, corrected_by=None)
        .order_by("seq")
        .values_list("kind", "data", "event_id", "person_id")
    )


def words_of_last_refusal(*, step_id: int, gate: str) -> dict[str, str] | None:
    """Give what was said when a step was refused at a gate for the last time."""
    data = (
        Event.objects.filter(step_id=step_id, accepted=False, refusal=gate)
        .order_by("-seq")
        .values_list("data", flat=True)
        .first()
    )
    return None if data is None else dict(data.get("words", {}))


def told_of(*, event: Event) -> Told:
    """Take from an event what the projection is made of."""
    return Told(
        str(event.event_id),
        Wish(event.kind),
        event.part_id,
        event.step_id,
        event.station_id,
        event.happened_at,
        event.data,
    )


def held_of(*, bench: Bench, step: StepNow, at: datetime | None = None) -> Held | None:
    """Find the oldest open hold that stops a step; no query where nothing is held.

    Of what happened at a moment past, ``at``, a hold that came later stops nothing.
    """
    parts = bench.parts_in(step)
    if bench.held_at is None and all(part.held_at is None for part in parts):
        return None
    past = Q(event__happened_at__lte=at) if at else Q()
    hold = (
        Hold.objects.filter(instrument_id=bench.instrument_id, lifted__isnull=True)
        .filter(Q(part__isnull=True) | Q(part_id__in=[part.id for part in parts]), past)
        .select_related("event__person")
        .order_by("event__happened_at", "event_id")
        .first()
    )
    if hold is None:
        return None
    return Held(
        bench.serial, hold.event.happened_at, str(hold.event.person), hold.reason
    )


def is_open_hold(*, event_id: UUID) -> bool:
    return Hold.objects.filter(event__event_id=event_id, lifted__isnull=True).exists()


def parts_joined(*, bench: Bench, line: Line) -> dict[str, str]:
    """Give the codes of the parts that a line joins, with the words for each."""
    parts = [bench.part_of(branch) for branch in bench.route.branches_joined_by(line)]
    return {part.code: f"{part.branch} {grouped(part.code)}" for part in parts}


def mates_of(*, bench: Bench, step: StepNow) -> dict[str, str]:
    """Give the codes that a join asks for, with the words for each."""
    line = bench.route.by_id[step.operation_id]
    if line.joins is Joins.BRANCHES:
        return parts_joined(bench=bench, line=line)
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
