"""What must a tablet know of the parts at its station, to go on without the shop?"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from travelers.floor.models import Event
from travelers.floor.queries.benches import about, part_now, parts_joined, step_now
from travelers.floor.queries.often import STEP_COLUMNS
from travelers.floor.rules.bench import Bench, StepNow
from travelers.floor.rules.facts import Notes
from travelers.lumber.models import Piece
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import OPEN_STATES, InstrumentState
from travelers.routes.queries import released_route
from travelers.routes.rules import Check, Joins, Line

NOTHING = Notes()


@dataclass(frozen=True, slots=True)
class Lying:
    """A step at a station: its bench, what was noted of it, and its mates."""

    bench: Bench
    step: StepNow
    notes: Notes
    mates: Mapping[str, str]

    @property
    def line(self) -> Line:
        return self.bench.route.by_id[self.step.operation_id]


def lying(*, step_ids: Iterable[int]) -> tuple[Lying, ...]:
    """Lay the instruments of many open steps on their benches, in few questions."""
    wanted = list(step_ids)
    whose = dict(
        Step.objects.filter(pk__in=wanted, state__in=OPEN_STATES).values_list(
            "pk", "instrument_id"
        )
    )
    benches = _benches(set(whose.values()))
    noted = _notes(wanted)
    found = [
        (bench, step)
        for step_id in wanted
        if (bench := benches.get(whose.get(step_id, 0)))
        and (step := bench.step(step_id))
    ]
    pieces = _pieces(found)
    return tuple(
        Lying(bench, step, noted.get(step.id, NOTHING), _mates(bench, step, pieces))
        for bench, step in found
    )


def _benches(instrument_ids: set[int]) -> dict[int, Bench]:
    parts: dict[int, list[Part]] = defaultdict(list)
    for part in Part.objects.filter(instrument_id__in=instrument_ids).order_by("id"):
        parts[part.instrument_id].append(part)
    steps: dict[int, list[StepNow]] = defaultdict(list)
    for owner, *row in (
        Step.objects.filter(instrument_id__in=instrument_ids, state__in=OPEN_STATES)
        .order_by("part_id", "position")
        .values_list("instrument_id", *STEP_COLUMNS)
    ):
        steps[owner].append(step_now(tuple(row)))
    rows = Instrument.objects.filter(pk__in=instrument_ids).select_related(
        "order", "revision__model"
    )
    return {
        row.pk: Bench(
            instrument_id=row.pk,
            serial=row.serial,
            position=row.position,
            route=released_route(revision_id=row.revision_id),
            parts=tuple(part_now(part) for part in parts[row.pk]),
            steps=tuple(steps[row.pk]),
            state=InstrumentState(row.state),
            held_at=row.held_at,
            about=about(row),
        )
        for row in rows
    }


def _notes(step_ids: list[int]) -> dict[int, Notes]:
    told = defaultdict(list)
    for step_id, *row in (
        Event.objects.filter(step_id__in=step_ids, accepted=True)
        .order_by("seq")
        .values_list("step_id", "kind", "data", "event_id", "person_id")
    ):
        told[step_id].append(tuple(row))
    return {step_id: Notes.of(rows) for step_id, rows in told.items()}


def _pieces(found: list[tuple[Bench, StepNow]]) -> dict[int, dict[str, str]]:
    """Read the pieces of the plank sets that are joined somewhere in these steps."""
    sets = {
        bench.part(step.part_id).plank_set_id
        for bench, step in found
        if bench.route.by_id[step.operation_id].joins is Joins.PIECES
    }
    named: dict[int, dict[str, str]] = defaultdict(dict)
    if not sets:
        return named
    for piece in (
        Piece.objects.filter(plank_set_id__in=sets)
        .select_related("plank_set")
        .order_by("letter")
    ):
        words = f"{piece.plank_set.number}-{piece.letter}"
        named[piece.plank_set_id][piece.code] = words
    return named


def _mates(
    bench: Bench, step: StepNow, pieces: Mapping[int, Mapping[str, str]]
) -> Mapping[str, str]:
    line = bench.route.by_id[step.operation_id]
    if line.joins is Joins.BRANCHES:
        return parts_joined(bench=bench, line=line)
    if line.joins is Joins.PIECES:
        return pieces.get(bench.part(step.part_id).plank_set_id or 0, {})
    return {}


def check_of(*, step_id: int, check_id: int) -> Check | None:
    """Find a check of a step's operation, whether the step is still open or not."""
    row = (
        Step.objects.filter(pk=step_id)
        .values_list("operation_id", "instrument__revision_id")
        .first()
    )
    if row is None:
        return None
    line = released_route(revision_id=row[1]).by_id.get(row[0])
    checks = line.checks if line else ()
    return next((check for check in checks if check.id == check_id), None)


def begun_at(*, step_id: int) -> datetime | None:
    """Say when a step was begun; nothing can be done to it before."""
    found: datetime | None = (
        Step.objects.filter(pk=step_id).values_list("started_at", flat=True).first()
    )
    return found


def happened_at(*, event_id: UUID) -> datetime | None:
    """Say when an event was; it cannot be taken back before."""
    found: datetime | None = (
        Event.objects.filter(event_id=event_id)
        .values_list("happened_at", flat=True)
        .first()
    )
    return found


def instrument_of(*, code: str, step_id: int | None) -> int | None:
    """Say which instrument an entry is about, by its step or the part's tag."""
    if step_id is not None:
        row = Step.objects.filter(pk=step_id).values_list("instrument_id").first()
    else:
        row = Part.objects.filter(code=code).values_list("instrument_id").first()
    return row[0] if row else None
