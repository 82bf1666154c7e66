"""Which gauge studies are there, who is how far, and what did they show?"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, Q, QuerySet
from django.utils import timezone

from travelers.formulas import control
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.quality.models import GaugeStudy, StudyValue
from travelers.quality.rules import Fitness, Sitting, fitness
from travelers.routes.models import Characteristic
from travelers.routes.rules import CheckKind
from travelers.shop.models import Gauge, Person, Station
from travelers.shop.queries import GaugeFaultRow, find_gauge_fault
from travelers.shop.rules import is_out


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
class Progress:
    """How many values of somebody are in."""

    person: str
    done: int


@dataclass(frozen=True, slots=True)
class Tagged:
    """A part of the shop that has a number in a study."""

    number: int
    code: str
    serial: str
    branch: str


@dataclass(frozen=True, slots=True)
class Bench:
    """A station at which a study is measured."""

    code: str
    name: str


@dataclass(frozen=True, slots=True)
class CalledOff:
    at: datetime
    by: str
    reason: str


@dataclass(frozen=True, slots=True)
class StudyPage:
    """A study as it stands: who has measured how much, and what all of it shows."""

    row: StudyRow
    gauge: str
    gauge_tag: str
    operation: str
    progress: tuple[Progress, ...]
    tagged: tuple[Tagged, ...]
    benches: tuple[Bench, ...]
    called_off: CalledOff | None
    result: Result | None

    @property
    def of_each(self) -> int:
        return self.row.parts * self.row.trials

    @property
    def is_whole(self) -> bool:
        return self.row.measured >= self.row.of

    @property
    def next_number(self) -> int:
        return len(self.tagged) + 1

    @property
    def takes_tags(self) -> bool:
        """Say whether a part can still be given a number by its tag."""
        return not (self.row.measured or self.called_off) and (
            self.next_number <= self.row.parts
        )


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
        .annotate(measured=Count("values", filter=Q(values__taken_back_at=None)))
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


def study_page(*, number: int) -> StudyPage:
    """Give a study: who is how far, and once all is in what it shows."""
    study = get_study(number=number)
    values = list(standing_values(study=study).select_related("person"))
    row = _row(study, len(values))
    return StudyPage(
        row,
        study.gauge.name,
        study.gauge.tag,
        study.characteristic.operation.name,
        _progress(values),
        tagged_parts(study=study),
        benches_of(study=study),
        CalledOff(study.closed_at, str(study.closed_by), study.closed_because)
        if study.closed_at
        else None,
        result_of(study=study, values=values) if len(values) == row.of else None,
    )


def get_study(*, number: int) -> GaugeStudy:
    """Find a study with its gauge and what it measures."""
    study = (
        GaugeStudy.objects.select_related(
            "gauge", "characteristic__operation__stage", "closed_by"
        )
        .filter(pk=number)
        .first()
    )
    if study is None:
        raise Refused(NOT_FOUND)
    return study


def standing_values(*, study: GaugeStudy) -> QuerySet[StudyValue]:
    """Give the values that were not taken back, in the order in which they came."""
    return study.values.filter(taken_back_at=None).order_by("pk")


def last_study_value(*, study: GaugeStudy, by: Person) -> StudyValue | None:
    """Give somebody's own last value that stands."""
    return standing_values(study=study).filter(person=by).last()


def sitting_of(*, study: GaugeStudy, by: Person, at: datetime) -> Sitting:
    """Say how somebody stands in a study now."""
    rows = list(standing_values(study=study).values_list("person_id", "part", "trial"))
    gauge = study.gauge
    return Sitting(
        study=study.pk,
        person=by.pk,
        parts=study.parts,
        people=study.people,
        trials=study.trials,
        own=frozenset((part, trial) for who, part, trial in rows if who == by.pk),
        others=len({who for who, _, _ in rows} - {by.pk}),
        done=len(rows),
        called_off=study.closed_at is not None,
        gauge=gauge.name,
        gauge_out=is_out(
            gauge.due_on, gauge.bad_since, day=timezone.localdate(at), at=at
        ),
    )


def tagged_parts(*, study: GaugeStudy) -> tuple[Tagged, ...]:
    """List the parts that have a number in a study, by that number."""
    rows = study.tagged.select_related("part__instrument").order_by("number")
    return tuple(
        Tagged(
            row.number, row.part.code, row.part.instrument.serial, str(row.part.branch)
        )
        for row in rows
    )


def benches_of(*, study: GaugeStudy) -> tuple[Bench, ...]:
    """List the stations at which a study is measured: where its check is made."""
    operation = study.characteristic.operation
    here = (
        Q(pk=operation.station_id)
        if operation.station_id
        else Q(stage_id=operation.stage_id)
    )
    rows = Station.objects.filter(here).order_by("code")
    return tuple(Bench(row.code, row.name) for row in rows)


def _progress(values: Iterable[StudyValue]) -> tuple[Progress, ...]:
    counted = Counter(one.person_id for one in values)
    names = {one.person_id: str(one.person) for one in values}
    return tuple(Progress(names[who], n) for who, n in counted.items())


def result_of(*, study: GaugeStudy, values: list[StudyValue]) -> Result | None:
    """Say what the values of a whole study show; None where they are all alike."""
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
