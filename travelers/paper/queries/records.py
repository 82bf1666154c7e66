"""What stands on the build record of a finished instrument?"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings

from travelers.floor.queries import Measure, Used, last_read, swaps_in, used_in
from travelers.formulas import codes
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.lumber.queries import Origin, origins
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import InstrumentState, StepState
from travelers.paper.queries.lines import Tag
from travelers.paper.queries.travelers import language
from travelers.paper.rules import NOT_FINISHED, Deed, Leg, Size, way_of
from travelers.quality.queries import Finding, findings
from travelers.routes.rules import (
    ORDER,
    Branch,
    Joins,
    OperationKind,
    in_branch_order,
)


@dataclass(frozen=True, slots=True)
class Wood:
    branch: Branch
    origin: Origin


@dataclass(frozen=True, slots=True)
class Repeated:
    """An operation that the route asks for several times, as a coat is sprayed."""

    name: str
    times: int


@dataclass(frozen=True, slots=True)
class Swapped:
    """A part that came from another instrument; who swapped it stays with the floor."""

    at: datetime
    branch: Branch
    gone_code: str
    came_code: str
    other: str
    reason: str


@dataclass(frozen=True, slots=True)
class RecordSheet:
    serial: str
    model: str
    shape: str
    finish: str
    order: str
    revision: str
    tag: Tag
    closed_at: datetime
    woods: tuple[Wood, ...]
    way: tuple[Leg, ...]
    repeated: tuple[Repeated, ...]
    measures: tuple[Measure, ...]
    findings: tuple[Finding, ...]
    swaps: tuple[Swapped, ...]
    size: Size
    language: str
    materials: tuple[Used, ...] = ()


def build_record(*, serial: str, size: Size) -> RecordSheet:
    """Give a finished instrument's life; one that is not finished has no record."""
    one = (
        Instrument.objects.filter(serial=serial)
        .select_related("order", "revision__model")
        .first()
    )
    if one is None:
        raise Refused(NOT_FOUND)
    if one.state != InstrumentState.FINISHED or one.closed_at is None:
        raise Refused(NOT_FINISHED.about(serial=serial, state_word=one.state))
    parts = in_branch_order(Part.objects.in_use().filter(instrument=one))
    done = _done(one)
    deeds = [_deed(step) for step in done]
    return RecordSheet(
        serial=one.serial,
        model=one.revision.model.name,
        shape=one.revision.model.shape,
        finish=one.order.finish,
        order=one.order.number,
        revision=one.revision.number,
        tag=_tag(parts),
        closed_at=one.closed_at,
        woods=_woods(parts),
        way=way_of(deeds, released_at=one.released_at, closed_at=one.closed_at),
        repeated=_repeated(done),
        measures=last_read(instrument_id=one.pk),
        findings=findings(instrument_id=one.pk),
        swaps=_swaps(one),
        size=size,
        language=language(),
        materials=used_in(instrument_id=one.pk),
    )


def _done(one: Instrument) -> list[Step]:
    steps = Step.objects.filter(
        instrument=one,
        part__scrapped_at__isnull=True,
        state=StepState.DONE,
        finished_at__isnull=False,
    ).select_related("operation")
    return sorted(
        steps,
        key=lambda step: (ORDER[Branch(step.operation.branch)], step.position),
    )


def _deed(step: Step) -> Deed:
    line = step.operation
    assert step.finished_at is not None  # noqa: S101 - asked for by the query
    return Deed(
        Branch(line.branch),
        line.number,
        line.name,
        OperationKind(line.kind),
        Joins(line.joins),
        step.finished_at,
    )


def _tag(parts: Sequence[Part]) -> Tag:
    """Give the instrument's own tag: that of its assembly."""
    code = next(part.code for part in parts if part.branch == Branch.ASSEMBLY)
    link = codes.link(code, settings.PUBLIC_ORIGIN)
    return Tag(Branch.ASSEMBLY, code, link, "", "")


def _woods(parts: Sequence[Part]) -> tuple[Wood, ...]:
    sets = {part.branch: part.plank_set_id for part in parts if part.plank_set_id}
    found = origins(plank_set_ids=sets.values())
    return tuple(Wood(Branch(branch), found[own]) for branch, own in sets.items())


def _repeated(done: Sequence[Step]) -> tuple[Repeated, ...]:
    names = {
        step.operation_id: step.operation.name
        for step in done
        if step.operation.times > 1
    }
    times = Counter(step.operation_id for step in done)
    return tuple(Repeated(name, times[line]) for line, name in names.items())


def _swaps(one: Instrument) -> tuple[Swapped, ...]:
    """Give the swaps, the first one first."""
    return tuple(
        Swapped(
            row.at,
            Branch(row.branch),
            row.gone_code,
            row.came_code,
            row.other.serial,
            row.reason,
        )
        for row in reversed(swaps_in(instrument_id=one.pk))
    )
