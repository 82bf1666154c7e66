"""How is a gauge study begun, how do its values come in, and how is it called off?"""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from travelers.kit.refusals import NOT_FOUND, NOT_YOUR_ROLE, Refused
from travelers.orders.models import Part
from travelers.quality import queries, rules
from travelers.quality.models import GaugeStudy, StudyPart, StudyValue
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
def number_study_part(*, number: int, code: str, by: Person, at: datetime) -> StudyPart:
    """Give a part, named by its tag, the next number of a study that nobody began."""
    if not by.has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    study = _locked(number)
    part = Part.objects.filter(code=code).first()
    if part is None:
        raise Refused(NOT_FOUND)
    sitting = queries.sitting_of(study=study, by=by, at=at)
    tagged = dict(study.tagged.values_list("part_id", "number"))
    if no := rules.why_closed(sitting):
        raise Refused(no)
    if sitting.done:
        raise Refused(rules.STUDY_BEGUN)
    if part.pk in tagged:
        raise Refused(rules.STUDY_PART_IN.about(code=code, n=str(tagged[part.pk])))
    if len(tagged) >= study.parts:
        raise Refused(rules.STUDY_ALL_NUMBERED.about(n=str(study.parts)))
    return StudyPart.objects.create(study=study, part=part, number=len(tagged) + 1)


@transaction.atomic
def note_study_value(
    *, number: int, part: int, value: Decimal, by: Person, at: datetime, event_id: UUID
) -> StudyValue:
    """Write down what somebody measured; only the part that is next for them.

    1. Lock the study: of two people who would be one too many, one is told so.
    2. A press that is known gets its first answer.
    3. Ask the rule, and write.
    """
    study = _locked(number)
    if known := StudyValue.objects.filter(event_id=event_id).first():
        said = (known.study_id, known.person_id, known.part, known.value)
        if said != (study.pk, by.pk, part, value):
            raise Refused(rules.STUDY_PRESS_USED)
        return known
    sitting = queries.sitting_of(study=study, by=by, at=at)
    if no := rules.why_not_this(sitting, part):
        raise Refused(no)
    turn = sitting.next
    assert turn is not None  # noqa: S101 - the rule has said so
    return StudyValue.objects.create(
        study=study,
        person=by,
        part=part,
        trial=turn.trial,
        value=value,
        measured_at=at,
        event_id=event_id,
    )


@transaction.atomic
def take_study_value_back(
    *, number: int, value_id: int, by: Person, at: datetime
) -> StudyValue:
    """Take somebody's own last value back, so that its part is measured again."""
    study = _locked(number)
    own = study.values.filter(pk=value_id, person=by).first()
    if own and own.taken_back_at:
        return own
    if no := rules.why_closed(queries.sitting_of(study=study, by=by, at=at)):
        raise Refused(no)
    if own is None or own != queries.last_study_value(study=study, by=by):
        raise Refused(rules.STUDY_GONE_ON)
    own.taken_back_at = at
    own.save(update_fields=["taken_back_at"])
    return own


@transaction.atomic
def call_study_off(*, number: int, reason: str, by: Person, at: datetime) -> GaugeStudy:
    """Close a study before all its values are in; what is in stays, without result."""
    if not by.has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    study = _locked(number)
    if no := rules.why_closed(queries.sitting_of(study=study, by=by, at=at)):
        raise Refused(no)
    study.closed_at, study.closed_by, study.closed_because = at, by, reason
    study.save(update_fields=["closed_at", "closed_by", "closed_because"])
    return study


def _locked(number: int) -> GaugeStudy:
    study = GaugeStudy.objects.select_for_update().filter(pk=number).first()
    if study is None:
        raise Refused(NOT_FOUND)
    return study
