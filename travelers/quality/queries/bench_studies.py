"""What does somebody see of a gauge study at a station?"""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, F, Q

from travelers.floor.rules.facts import Place
from travelers.kit.refusals import Refusal, Refused
from travelers.quality.models import GaugeStudy
from travelers.quality.queries.studies import (
    Bench,
    Result,
    Tagged,
    benches_of,
    get_study,
    last_study_value,
    result_of,
    sitting_of,
    standing_values,
    tagged_parts,
)
from travelers.quality.rules import (
    STUDY_NOT_HERE,
    Sitting,
    why_not_measured,
)
from travelers.routes.queries import check_of
from travelers.routes.rules import Check
from travelers.shop.models import Person


@dataclass(frozen=True, slots=True)
class StudyHere:
    """An open study at a station."""

    id: int
    gauge: str
    gauge_tag: str
    characteristic: str
    operation: str
    done: int
    of: int


@dataclass(frozen=True, slots=True)
class LastValue:
    """Somebody's own last value, which may be taken back; it is not shown."""

    id: int
    part: int


@dataclass(frozen=True, slots=True)
class BenchStudy:
    """A study as somebody measures in it, who sees no value of before."""

    id: int
    gauge: str
    gauge_tag: str
    check: Check
    operation: str
    sitting: Sitting
    refusal: Refusal | None
    tagged: tuple[Tagged, ...]
    last: LastValue | None
    result: Result | None

    @property
    def part(self) -> int:
        """Give the part that is next; 0 where none is."""
        turn = self.sitting.next
        return turn.part if turn and not self.refusal else 0

    @property
    def trial(self) -> int:
        turn = self.sitting.next
        return turn.trial if turn else self.sitting.trials

    @property
    def tag(self) -> Tagged | None:
        """Give the part of the shop that has the number of the next one."""
        return next((one for one in self.tagged if one.number == self.part), None)

    @property
    def numbers(self) -> range:
        return range(1, self.sitting.parts + 1)

    @property
    def done(self) -> int:
        return len(self.sitting.own)

    @property
    def sits_below_zero(self) -> bool:
        return self.check.lower is None or self.check.lower < 0


def studies_at(*, place: Place, gauge_tag: str = "") -> tuple[StudyHere, ...]:
    """List the studies that are open at a station, those begun last first."""
    here = Q(characteristic__operation__station=place.id) | Q(
        characteristic__operation__station=None,
        characteristic__operation__stage=place.stage_id,
    )
    of_gauge = Q(gauge__tag=gauge_tag) if gauge_tag else Q()
    rows = (
        GaugeStudy.objects.filter(here, of_gauge, closed_at=None)
        .annotate(done=Count("values", filter=Q(values__taken_back_at=None)))
        .filter(done__lt=F("parts") * F("people") * F("trials"))
        .select_related("gauge", "characteristic__operation")
        .order_by("-pk")
    )
    return tuple(
        StudyHere(
            row.pk,
            row.gauge.name,
            row.gauge.tag,
            row.characteristic.name,
            row.characteristic.operation.name,
            row.done,
            row.parts * row.people * row.trials,
        )
        for row in rows
    )


def bench_study(*, number: int, place: Place, by: Person, at: datetime) -> BenchStudy:
    """Give a study as somebody at a station measures in it."""
    study = get_study(number=number)
    benches = benches_of(study=study)
    if place.code not in {one.code for one in benches}:
        raise Refused(_not_here(study, benches))
    sitting = sitting_of(study=study, by=by, at=at)
    last = None if sitting.closed else last_study_value(study=study, by=by)
    values = list(standing_values(study=study)) if sitting.is_whole else []
    return BenchStudy(
        study.pk,
        study.gauge.name,
        study.gauge.tag,
        check_of(row=study.characteristic),
        study.characteristic.operation.name,
        sitting,
        why_not_measured(sitting),
        tagged_parts(study=study),
        LastValue(last.pk, last.part) if last else None,
        result_of(study=study, values=values) if values else None,
    )


def _not_here(study: GaugeStudy, benches: tuple[Bench, ...]) -> Refusal:
    return STUDY_NOT_HERE.about(
        operation=study.characteristic.operation.name,
        stations=", ".join(one.name for one in benches),
    )
