"""How does the shop ask for a qualification, and who is given it?"""

import logging
from collections.abc import Collection, Mapping
from datetime import date, datetime

from django.db import transaction

from travelers.kit.people import has_one_of
from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.shop.models import NeedsQualification, Person, Qualification, Stage
from travelers.shop.rules import SKILL_KEEPERS, Work

log = logging.getLogger(__name__)


def ask_for_skill(*, stage: Stage, kind: Work, by: Person) -> bool:
    """Ask for a qualification from the next scan on; say whether that is new."""
    _keeps(by)
    _, is_new = NeedsQualification.objects.get_or_create(stage=stage, kind=kind)
    if is_new:
        log.warning("skill asked for, at=%s %s by=%s", stage.code, kind, by.pk)
    return is_new


def stop_asking(*, stage: Stage, kind: Work, by: Person) -> None:
    """Ask for it no more; who has it keeps it, should it be asked for again."""
    _keeps(by)
    NeedsQualification.objects.filter(stage=stage, kind=kind).delete()
    log.warning("skill asked for no more, at=%s %s by=%s", stage.code, kind, by.pk)


@transaction.atomic
def qualify(
    *,
    stage: Stage,
    kind: Work,
    given: Mapping[Person, date | None],
    taken: Collection[Person],
    by: Person,
    at: datetime,
) -> None:
    """Let people do such work, for good or until a day, and others no more.

    Who is not named stays as he or she is.
    """
    _keeps(by)
    about = Qualification.objects.filter(stage=stage, kind=kind)
    about.filter(person__in=taken).delete()
    for person, until in given.items():
        Qualification.objects.update_or_create(
            person=person,
            stage=stage,
            kind=kind,
            defaults={"until": until, "given_at": at, "given_by": by},
        )
    for word, people in (("given", given), ("taken", taken)):
        names = ",".join(str(person.pk) for person in people)
        if names:
            told = (word, names, stage.code, kind, by.pk)
            log.warning("skill %s, person=%s at=%s %s by=%s", *told)


def _keeps(by: Person) -> None:
    if not has_one_of(by, SKILL_KEEPERS):
        raise Refused(NOT_YOUR_ROLE)
