"""Which parts are in one cell of the board?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import F, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from travelers.floor import queries as on_floor
from travelers.kit.drawing.marks import Look
from travelers.kit.leaves import Leaf, cut_leaf
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.orders.models import Part, Step
from travelers.orders.rules import OPEN_STATES, StepState
from travelers.routes.rules import Branch
from travelers.shop.models import Stage

ON_A_LEAF = 100


@dataclass(frozen=True, slots=True)
class PartRow:
    serial: str
    code: str
    model: str
    finish: str
    order: str
    due_on: date
    is_late: bool
    operation: str
    look: Look
    since: datetime
    age: timedelta
    held_reason: str
    held_by: str


@dataclass(frozen=True, slots=True)
class CellPage:
    stage: str
    branch: Branch
    rows: tuple[PartRow, ...]
    leaf: Leaf


def cell(*, stage: str, branch: str, leaf: int, at: datetime, today: date) -> CellPage:
    """List the parts of a branch at a stage, those that lie there longest first."""
    where = Stage.objects.filter(code=stage).first()
    if where is None or branch not in set(Branch):
        raise Refused(NOT_FOUND)
    parts, shown = cut_leaf(_parts(where, Branch(branch)), number=leaf, size=ON_A_LEAF)
    stops = _stops(parts)
    return CellPage(
        where.name,
        Branch(branch),
        tuple(_row(part, stops, at, today) for part in parts),
        shown,
    )


def _parts(stage: Stage, branch: Branch) -> QuerySet[Part]:
    """Say with each part which operation it is at: its own, or the join that it
    waits for once its branch is done."""
    own = Step.objects.filter(part=OuterRef("pk"), state__in=OPEN_STATES)
    join = Step.objects.filter(
        instrument=OuterRef("instrument"),
        state__in=[StepState.WAITING, StepState.READY],
        operation__waits_for__before__branch=OuterRef("branch"),
    ).exclude(part__branch=OuterRef("branch"))
    return (
        Part.objects.filter(stage=stage, branch=branch)
        .select_related("instrument__order", "instrument__revision__model")
        .annotate(
            operation=Coalesce(
                _first(own, "operation__name"),
                _first(join, "operation__name"),
                Value(""),
            ),
            repeat=_first(own, "repeat"),
            times=_first(own, "operation__times"),
        )
        .order_by(F("since").asc(), "id")
    )


def _first(steps: QuerySet[Step], column: str) -> Subquery:
    return Subquery(steps.order_by("position", "id").values(column)[:1])


def _stops(parts: list[Any]) -> Mapping[int, on_floor.Stop]:
    """Find for each held part the oldest hold that stops it."""
    held = {part.instrument_id for part in parts if part.look == Look.HELD}
    stops = on_floor.open_holds(instrument_ids=held) if held else ()
    found: dict[int, on_floor.Stop] = {}
    for part in parts:
        for stop in stops:
            if stop.instrument_id == part.instrument_id and stop.part_id in (
                None,
                part.pk,
            ):
                found.setdefault(part.pk, stop)
    return found


def _row(
    part: Any, stops: Mapping[int, on_floor.Stop], at: datetime, today: date
) -> PartRow:
    order = part.instrument.order
    stop = stops.get(part.pk)
    repeated = f" {part.repeat}/{part.times}" if (part.times or 1) > 1 else ""
    return PartRow(
        part.instrument.serial,
        part.code,
        part.instrument.revision.model.name,
        order.finish,
        order.number,
        order.due_on,
        order.due_on < today,
        f"{part.operation}{repeated}",
        Look(part.look),
        part.since,
        at - part.since,
        stop.reason if stop else "",
        stop.by if stop else "",
    )
