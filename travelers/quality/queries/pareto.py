"""Which defects are most, where do they sit, what do they cost, what comes through?"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Max, Min

from travelers.floor import queries as floor
from travelers.formulas.association import first_pass_yield, rolled_yield
from travelers.kit.days import span_of
from travelers.kit.drawing.zones import OUTLINES
from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.quality.models import Defect
from travelers.quality.rules import Decision
from travelers.routes.models import InstrumentModel
from travelers.routes.rules import Branch
from travelers.shop.models import Stage

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Asked:
    """A time, and a model and a stage where not all are asked for."""

    since: date
    until: date
    model: str = ""
    stage: str = ""


@dataclass(frozen=True, slots=True)
class KindRow:
    """A kind of defect: how often, and how many days of lead time it cost.

    A defect costs from when it was found until it was decided, and then until what was
    done again is done.
    """

    number: int
    code: str
    name: str
    count: int
    share_pct: float
    summed_pct: float
    days: float


@dataclass(frozen=True, slots=True)
class OutlineOf:
    """The outline of a part, with the number of its kind for each defect."""

    branch: Branch
    outline: str
    shape: str
    model: str
    marks: tuple[tuple[float, float, str], ...]


@dataclass(frozen=True, slots=True)
class StageYield:
    stage: str
    entered: int
    failed: int

    @property
    def first_pass_pct(self) -> float:
        return 100 * first_pass_yield(self.entered - self.failed, self.entered)


@dataclass(frozen=True, slots=True)
class ModelYield:
    """What share of a model's parts passed each stage without a defect."""

    model: str
    stages: tuple[StageYield, ...]

    @property
    def rolled_pct(self) -> float:
        return 100 * rolled_yield([one.first_pass_pct / 100 for one in self.stages])


@dataclass(frozen=True, slots=True)
class ParetoPage:
    asked: Asked
    count: int
    kinds: tuple[KindRow, ...]
    outlines: tuple[OutlineOf, ...]
    yields: tuple[ModelYield, ...]
    models: tuple[str, ...]
    stages: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Seen:
    """A defect as it is counted here."""

    id: int
    part_id: int
    kind: str
    name: str
    branch: Branch
    shape: str
    model: str
    stage: str
    place: tuple[float, float]
    found_at: datetime
    decision: str | None
    decided_at: datetime | None


def pareto_page(*, asked: Asked, at: datetime, zone: ZoneInfo) -> ParetoPage:
    """Count the defects found in a time, and what passed in the same time."""
    start, end = span_of(asked.since, asked.until, zone)
    seen = _seen(asked, start, end)
    kinds = _kinds(seen, _lost(seen, at))
    numbers = {one.code: one.number for one in kinds}
    return ParetoPage(
        asked,
        len(seen),
        kinds,
        _outlines(seen, numbers),
        _yields(asked, start, end),
        tuple(InstrumentModel.objects.order_by("name").values_list("name", flat=True)),
        tuple(Stage.objects.order_by("position").values_list("name", flat=True)),
    )


def _seen(asked: Asked, start: datetime, end: datetime) -> list[_Seen]:
    rows = Defect.objects.filter(
        event__happened_at__gte=start, event__happened_at__lt=end
    )
    if asked.model:
        rows = rows.filter(part__instrument__revision__model__name=asked.model)
    if asked.stage:
        rows = rows.filter(step__stage__name=asked.stage)
    told = rows.order_by("pk").values_list(
        "pk",
        "part_id",
        "kind__code",
        "kind__name",
        "part__branch",
        "part__instrument__revision__model__shape",
        "part__instrument__revision__model__name",
        "step__stage__name",
        "x",
        "y",
        "event__happened_at",
        "disposition__decision",
        "disposition__decided_at",
    )
    return [
        _Seen(
            pk,
            part,
            code,
            name,
            Branch(branch),
            shape,
            model,
            stage,
            (float(x), float(y)),
            *rest,
        )
        for pk, part, code, name, branch, shape, model, stage, x, y, *rest in told
    ]


def _lost(seen: Sequence[_Seen], at: datetime) -> Mapping[int, float]:
    """Say how many days each defect cost so far."""
    again: dict[int, list[tuple[datetime, datetime | None]]] = defaultdict(list)
    rework = [one.part_id for one in seen if one.decision == Decision.REWORK]
    turns = Step.objects.filter(part_id__in=rework, turn__gt=0).exclude(
        state=StepState.VOID
    )
    for part, _, began, ended in (
        turns.order_by("part_id", "turn")
        .values_list("part_id", "turn")
        .annotate(began=Min("ready_at"), ended=Max("finished_at"))
    ):
        if began:
            again[part].append((began, ended))
    found = {}
    for one in seen:
        until = one.decided_at or at
        if one.decision == Decision.REWORK:
            ends = (
                end or at for began, end in again[one.part_id] if began >= until - DAY
            )
            until = max(until, min(ends, default=until))
        found[one.id] = (until - one.found_at) / DAY
    return found


def _kinds(seen: Sequence[_Seen], lost: Mapping[int, float]) -> tuple[KindRow, ...]:
    often = Counter((one.kind, one.name) for one in seen)
    days: Counter[str] = Counter()
    for one in seen:
        days[one.kind] += lost[one.id]  # type: ignore[assignment]
    rows, summed = [], 0
    ranked = sorted(often.items(), key=lambda item: (-item[1], item[0][1]))
    for number, ((code, name), count) in enumerate(ranked, start=1):
        summed += count
        rows.append(
            KindRow(
                number,
                code,
                name,
                count,
                100 * count / len(seen),
                100 * summed / len(seen),
                days[code],
            )
        )
    return tuple(rows)


def _outlines(
    seen: Sequence[_Seen], numbers: Mapping[str, int]
) -> tuple[OutlineOf, ...]:
    marks: dict[tuple[Branch, str, str], list[tuple[float, float, str]]]
    marks = defaultdict(list)
    for one in seen:
        key = (one.branch, one.shape, one.model)
        marks[key].append((*one.place, str(numbers[one.kind])))
    order = list(Branch)
    return tuple(
        OutlineOf(branch, OUTLINES[branch], shape, model, tuple(places))
        for (branch, shape, model), places in sorted(
            marks.items(), key=lambda item: (item[0][2], order.index(item[0][0]))
        )
    )


def _yields(asked: Asked, start: datetime, end: datetime) -> tuple[ModelYield, ...]:
    """Say of each model what passed each stage; a part counts once at a stage."""
    models: dict[str, list[StageYield]] = defaultdict(list)
    for one in floor.passed(since=start, until=end):
        if asked.model in ("", one.model) and asked.stage in ("", one.stage):
            row = StageYield(one.stage, len(one.entered), len(one.failed))
            models[one.model].append(row)
    return tuple(ModelYield(model, tuple(rows)) for model, rows in models.items())
