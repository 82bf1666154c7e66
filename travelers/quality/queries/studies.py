"""Which gauge studies are there, what is measured next, and what did they show?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, QuerySet

from travelers.formulas import control
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.quality.models import GaugeStudy, StudyValue
from travelers.quality.rules import Fitness, fitness, order_of
from travelers.routes.models import Characteristic
from travelers.routes.rules import CheckKind
from travelers.shop.models import Gauge, Person
from travelers.shop.queries import GaugeFaultRow, find_gauge_fault


@dataclass(frozen=True, slots=True)
class Next:
    """What somebody measures next, and how far they are."""

    part: int
    trial: int
    done: int
    of: int


@dataclass(frozen=True, slots=True)
class Result:
    """What a whole study shows, in percent of the tolerance, and in a word."""

    study: control.GaugeStudy
    fitness: Fitness


@dataclass(frozen=True, slots=True)
class Choice:
    id: int
    name: str
    operation: str


@dataclass(frozen=True, slots=True)
class StudyRow:
    id: int
    characteristic: str
    unit: str
    parts: int
    people: int
    trials: int
    begun_at: datetime
    measured: int

    @property
    def of(self) -> int:
        return self.parts * self.people * self.trials


@dataclass(frozen=True, slots=True)
class StudyPage:
    """A study as somebody sees it who may measure in it."""

    row: StudyRow
    gauge: str
    gauge_tag: str
    next: Next | None
    is_full: bool
    result: Result | None


@dataclass(frozen=True, slots=True)
class GaugeStudies:
    gauge: str
    tag: str
    calibrated_on: date
    due_on: date
    fault: GaugeFaultRow | None
    rows: tuple[StudyRow, ...]
    choices: tuple[Choice, ...]


def gauge_studies(*, tag: str) -> GaugeStudies:
    """List the studies of a gauge, and what could be studied with it."""
    gauge = Gauge.objects.filter(tag=tag).first()
    if gauge is None:
        raise Refused(NOT_FOUND)
    rows = (
        gauge.studies.select_related("characteristic")
        .annotate(measured=Count("values"))
        .order_by("-pk")
    )
    return GaugeStudies(
        gauge.name,
        gauge.tag,
        gauge.calibrated_on,
        gauge.due_on,
        find_gauge_fault(tag=tag),
        tuple(_row(row, row.measured) for row in rows),
        tuple(
            Choice(one.pk, one.name, one.operation.name)
            for one in judged_by(gauge=gauge).select_related("operation")
        ),
    )


def judged_by(*, gauge: Gauge) -> QuerySet[Characteristic]:
    """Give the characteristics with two limits that a gauge is for."""
    return Characteristic.objects.filter(
        kind=CheckKind.MEASURED,
        gauge_kind=gauge.kind,
        lower__isnull=False,
        upper__isnull=False,
    ).order_by("name", "pk")


def study_page(*, number: int, by: Person) -> StudyPage:
    """Give a study: what is next for somebody, or what all of it shows."""
    study = (
        GaugeStudy.objects.select_related("gauge", "characteristic")
        .filter(pk=number)
        .first()
    )
    if study is None:
        raise Refused(NOT_FOUND)
    values = list(study.values.order_by("pk"))
    people = {one.person_id for one in values}
    row = _row(study, len(values))
    return StudyPage(
        row,
        study.gauge.name,
        study.gauge.tag,
        next_of(study=study, by=by, values=values),
        by.pk not in people and len(people) >= study.people,
        _result(study, values) if len(values) == row.of else None,
    )


def next_of(
    *, study: GaugeStudy, by: Person, values: Iterable[StudyValue]
) -> Next | None:
    """Say which part somebody measures next; None once all of theirs are in."""
    own = {(one.part, one.trial) for one in values if one.person_id == by.pk}
    for trial in range(1, study.trials + 1):
        for part in order_of(study.pk, by.pk, trial, study.parts):
            if (part, trial) not in own:
                return Next(part, trial, len(own), study.parts * study.trials)
    return None


def _result(study: GaugeStudy, values: list[StudyValue]) -> Result | None:
    people = sorted({one.person_id for one in values})
    told: Mapping[tuple[int, int, int], float] = {
        (one.part, one.person_id, one.trial): float(one.value) for one in values
    }
    laid = [
        [
            [told[part, person, trial] for trial in range(1, study.trials + 1)]
            for person in people
        ]
        for part in range(1, study.parts + 1)
    ]
    check = study.characteristic
    if check.lower is None or check.upper is None:
        return None
    try:
        found = control.crossed_study(laid, tolerance=float(check.upper - check.lower))
    except ValueError:
        # All values are equal: the gauge shows no difference at all.
        return None
    pct = found.tolerance_pct
    return Result(found, fitness(pct.gauge)) if pct else None


def _row(study: GaugeStudy, measured: int) -> StudyRow:
    return StudyRow(
        study.pk,
        study.characteristic.name,
        study.characteristic.unit,
        study.parts,
        study.people,
        study.trials,
        study.begun_at,
        measured,
    )
