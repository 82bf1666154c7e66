"""Which defects are there, what can be found where, and where can a part go back?"""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import QuerySet

from travelers.floor import queries as on_floor
from travelers.kit.drawing.zones import OUTLINES
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.orders.models import Part, Step
from travelers.orders.rules import OPEN_STATES, StepState
from travelers.quality.models import Defect, Disposition
from travelers.quality.queries.photos import Photo, photos_of
from travelers.quality.rules import Decision, Severity, hold_id_of
from travelers.routes.models import DefectKind
from travelers.routes.queries import released_route
from travelers.routes.rules import Branch, Line

# So many of the latest defects of a stage say which kinds are found most there.
LATEST = 500
OPEN_SHOWN, DECIDED_SHOWN = 300, 50
BEGUN = (StepState.RUNNING, StepState.DWELLING)


@dataclass(frozen=True, slots=True)
class Kind:
    code: str
    name: str
    found: int
    card: str = ""


@dataclass(frozen=True, slots=True)
class KindHere:
    """A kind of defect that can be found on the part of a step."""

    id: int
    code: str
    name: str
    part_id: int


@dataclass(frozen=True, slots=True)
class Patient:
    """The part that somebody stands before with a defect, and what it may have."""

    step_id: int
    serial: str
    model: str
    branch: Branch
    code: str
    operation: str
    stage: str
    outline: str
    shape: str
    kinds: tuple[Kind, ...]
    severities: tuple[Severity, ...] = tuple(Severity)


@dataclass(frozen=True, slots=True)
class Found:
    """A defect as a list or its own page shows it."""

    id: int
    serial: str
    branch: Branch
    code: str
    kind: str
    operation: str
    stage: str
    severity: Severity
    found_at: datetime
    found_by: str
    age: timedelta
    decision: Decision | None
    decided_at: datetime | None


@dataclass(frozen=True, slots=True)
class DefectList:
    open: tuple[Found, ...]
    decided: tuple[Found, ...]
    more_open: bool
    older_than: int | None
    is_further: bool


@dataclass(frozen=True, slots=True)
class Here:
    """Where a part stands in its route, and to which operations it can go back."""

    step_id: int
    lines: tuple[Line, ...]
    ways_back: tuple[Line, ...]

    def again_from(self, operation_id: int | None) -> tuple[int, ...]:
        """List the operations from a way back to where the part stands."""
        ids = [line.id for line in self.lines]
        if operation_id not in {line.id for line in self.ways_back}:
            return ()
        return tuple(ids[ids.index(operation_id) :])

    def name_of(self, operation_id: int | None) -> str:
        names = {line.id: line.name for line in self.lines}
        return names.get(operation_id or 0, "–")


@dataclass(frozen=True, slots=True)
class MadeAnew:
    """The part that is made instead of one that was scrapped."""

    code: str
    wants_wood: bool


@dataclass(frozen=True, slots=True)
class Case:
    """All of one defect: what was found, how the part stands, what was decided."""

    found: Found
    model: str
    outline: str
    shape: str
    marks: tuple[tuple[float, float, str], ...]
    note: str
    origins: str
    usual: str
    is_holding: bool
    ways_back: tuple[Line, ...]
    reason: str
    decided_by: str
    photos: tuple[Photo, ...] = ()
    severities: tuple[Severity, ...] = tuple(Severity)
    may_replace: bool = False
    made_anew: MadeAnew | None = None


def find_kind(*, step_id: int, code: str) -> KindHere | None:
    """Find a kind of defect, if it is found on such a part at such a stage."""
    step = Step.objects.filter(pk=step_id).select_related("part").first()
    if step is None:
        return None
    kind = DefectKind.objects.filter(
        code=code, stages=step.stage_id, branches__branch=step.part.branch
    ).first()
    return KindHere(kind.pk, kind.code, kind.name, step.part_id) if kind else None


def get_patient(*, step_id: int) -> Patient:
    step = (
        Step.objects.filter(pk=step_id)
        .select_related("instrument__revision__model", "part", "operation", "stage")
        .first()
    )
    if step is None:
        raise Refused(NOT_FOUND)
    branch = Branch(step.part.branch)
    model = step.instrument.revision.model
    return Patient(
        step_id=step.pk,
        serial=step.instrument.serial,
        model=model.name,
        branch=branch,
        code=step.part.code,
        operation=step.operation.name,
        stage=step.stage.name,
        outline=OUTLINES[branch],
        shape=model.shape,
        kinds=kinds_at(stage_id=step.stage_id, branch=branch),
    )


def kinds_at(*, stage_id: int, branch: Branch) -> tuple[Kind, ...]:
    """List the kinds found on a branch's parts at a stage, most frequent first."""
    often = Counter(
        Defect.objects.filter(step__stage_id=stage_id, part__branch=branch)
        .order_by("-id")
        .values_list("kind_id", flat=True)[:LATEST]
    )
    kinds = DefectKind.objects.filter(
        stages=stage_id, branches__branch=branch
    ).distinct()
    return tuple(
        Kind(kind.code, kind.name, often[kind.pk], kind.card)
        for kind in sorted(kinds, key=lambda kind: (-often[kind.pk], kind.name))
    )


def lock_defect(*, defect_id: int) -> Defect:
    defect = (
        _whole(Defect.objects.filter(pk=defect_id))
        .select_for_update(of=("self",))
        .first()
    )
    if defect is None:
        raise Refused(NOT_FOUND)
    return defect


def stands_at(*, defect: Defect, lock: bool = False) -> Here:
    """Say where the part of a defect stands now.

    That is its first open step, or the last that was done where all are.
    """
    if lock:
        on_floor.find_bench(step_id=defect.step_id, lock=True)
    steps = [
        step
        for step in Step.objects.filter(part_id=defect.part_id).order_by("position")
        if step.state != StepState.VOID
    ]
    done = [step for step in steps if step.state == StepState.DONE]
    now = next((step for step in steps if step.state in OPEN_STATES), None)
    here = now or (done[-1] if done else defect.step)
    lines = _lines_until(here, defect)
    behind = {step.operation_id for step in done}
    if here.state in BEGUN:
        behind.add(here.operation_id)
    return Here(here.pk, lines, tuple(line for line in lines if line.id in behind))


def _lines_until(here: Step, defect: Defect) -> tuple[Line, ...]:
    route = released_route(revision_id=defect.part.instrument.revision_id)
    last = route.by_id[here.operation_id]
    return tuple(
        line
        for line in route.lines
        if line.branch is last.branch and line.number <= last.number
    )


def list_defects(*, now: datetime, before: int | None = None) -> DefectList:
    """List the defects: open ones first, then what was decided, latest first.

    ``before`` turns the page: only decided ones with a smaller number are shown.
    """
    rows = _whole(Defect.objects.order_by("-id"))
    undecided = rows.filter(disposition=None)
    open_rows = [] if before else list(undecided[: OPEN_SHOWN + 1])
    decided = rows.filter(disposition__isnull=False)
    if before:
        decided = decided.filter(pk__lt=before)
    shown = list(decided[: DECIDED_SHOWN + 1])
    is_more = len(shown) > DECIDED_SHOWN
    return DefectList(
        tuple(_found(row, now) for row in open_rows[:OPEN_SHOWN]),
        tuple(_found(row, now) for row in shown[:DECIDED_SHOWN]),
        more_open=len(open_rows) > OPEN_SHOWN,
        older_than=shown[DECIDED_SHOWN - 1].pk if is_more else None,
        is_further=before is not None,
    )


def number_of(*, event_id: UUID) -> int:
    """Say the number of the defect that a DEFECT event found."""
    number = Defect.objects.filter(event__event_id=event_id).values_list("pk").first()
    if number is None:
        raise Refused(NOT_FOUND)
    return int(number[0])


def get_case(*, defect_id: int, now: datetime) -> Case:
    defect = _whole(Defect.objects.filter(pk=defect_id)).first()
    if defect is None:
        raise Refused(NOT_FOUND)
    decided = _decided(defect)
    model = defect.part.instrument.revision.model
    return Case(
        found=_found(defect, now),
        model=model.name,
        outline=OUTLINES[Branch(defect.part.branch)],
        shape=model.shape,
        marks=((float(defect.x), float(defect.y), ""),),
        note=defect.note,
        origins=defect.kind.origins,
        usual=defect.kind.usual,
        is_holding=on_floor.is_open_hold(event_id=hold_id_of(defect.event.event_id)),
        ways_back=stands_at(defect=defect).ways_back,
        reason=decided.reason if decided else "",
        decided_by=str(decided.by) if decided else "",
        photos=photos_of(event_id=defect.event.event_id),
        may_replace=decided is None and on_floor.may_be_made_anew(part=defect.part),
        made_anew=_made_anew(defect) if decided else None,
    )


def _made_anew(defect: Defect) -> MadeAnew | None:
    new = Part.objects.filter(instead_of=defect.part_id).first()
    return MadeAnew(new.code, new.wants_wood) if new else None


def _whole(rows: QuerySet[Defect]) -> QuerySet[Defect]:
    return rows.select_related(
        "event__person",
        "part__instrument__revision__model",
        "step__operation",
        "step__stage",
        "kind",
        "disposition__by",
    )


def _decided(defect: Defect) -> Disposition | None:
    return getattr(defect, "disposition", None)


def _found(defect: Defect, now: datetime) -> Found:
    decided = _decided(defect)
    return Found(
        id=defect.pk,
        serial=defect.part.instrument.serial,
        branch=Branch(defect.part.branch),
        code=defect.part.code,
        kind=defect.kind.name,
        operation=defect.step.operation.name,
        stage=defect.step.stage.name,
        severity=Severity(defect.severity),
        found_at=defect.event.happened_at,
        found_by=str(defect.event.person),
        age=now - defect.event.happened_at,
        decision=Decision(decided.decision) if decided else None,
        decided_at=decided.decided_at if decided else None,
    )
