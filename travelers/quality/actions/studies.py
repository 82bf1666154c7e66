"""How is a gauge study begun, and how do its values come in?"""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from travelers.kit.refusals import NOT_FOUND, NOT_YOUR_ROLE, Refused
from travelers.quality import queries, rules
from travelers.quality.models import GaugeStudy, StudyValue
from travelers.routes.models import Characteristic
from travelers.shop.models import Gauge, Person
from travelers.shop.rules import Role


@dataclass(frozen=True, slots=True)
class Planned:
    """How many parts are measured, by how many people, how often each."""

    parts: int
    people: int
    trials: int


def begin_study(
    *, tag: str, characteristic_id: int, planned: Planned, by: Person, at: datetime
) -> GaugeStudy:
    """Begin a crossed study of a gauge on a tolerance that it judges."""
    if not by.has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    gauge = Gauge.objects.filter(tag=tag).first()
    check = Characteristic.objects.filter(pk=characteristic_id).first()
    if gauge is None or check is None:
        raise Refused(NOT_FOUND)
    if not queries.judged_by(gauge=gauge).filter(pk=check.pk).exists():
        raise Refused(
            rules.STUDY_NOT_OF_GAUGE.about(gauge=gauge.name, characteristic=check.name)
        )
    return GaugeStudy.objects.create(
        gauge=gauge,
        characteristic=check,
        parts=planned.parts,
        people=planned.people,
        trials=planned.trials,
        by=by,
        begun_at=at,
    )


@transaction.atomic
def note_study_value(
    *, number: int, part: int, value: Decimal, by: Person, at: datetime
) -> StudyValue:
    """Write down what somebody measured; only the part that is next for them.

    The study is locked: of two people who would be one too many, one is told so.
    """
    study = GaugeStudy.objects.select_for_update().filter(pk=number).first()
    if study is None:
        raise Refused(NOT_FOUND)
    values = list(study.values.order_by("pk"))
    people = {one.person_id for one in values}
    if by.pk not in people and len(people) >= study.people:
        raise Refused(rules.STUDY_FULL.about(n=str(study.people)))
    following = queries.next_of(study=study, by=by, values=values)
    if following is None or following.part != part:
        raise Refused(rules.STUDY_OTHER_NEXT)
    return StudyValue.objects.create(
        study=study,
        person=by,
        part=part,
        trial=following.trial,
        value=value,
        measured_at=at,
    )
