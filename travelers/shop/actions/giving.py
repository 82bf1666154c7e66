"""How does somebody get a number, a PIN and a badge, and lose them?"""

import logging
import secrets
from collections.abc import Mapping
from datetime import datetime

from django.contrib.auth.hashers import make_password
from django.db import transaction

from travelers.kit.refusals import Refused
from travelers.shop.models import Badge, Person, PinTry, Session
from travelers.shop.rules import (
    BADGE_LENGTH,
    BADGE_LETTERS,
    NUMBER_TAKEN,
    PIN_EASY,
    digest_of,
    is_easy,
    may_give,
)

log = logging.getLogger(__name__)


def give_number(*, person: Person, number: str, pin: str, by: Person) -> None:
    """Give somebody a number and a PIN; who typed the former PIN is signed out."""
    if no := may_give(by.roles, person.roles):
        raise Refused(no.about(person=str(person)))
    if is_easy(pin):
        raise Refused(PIN_EASY)
    # Slow on purpose, so it is done before anything is locked.
    hashed = make_password(pin)
    with transaction.atomic():
        if Person.objects.filter(number=number).exclude(pk=person.pk).exists():
            raise Refused(NUMBER_TAKEN.about(number=number))
        old = (number, person.number or number)
        PinTry.objects.filter(number__in=old).update(failures=0)
        person.number, person.pin = number, hashed
        person.save(update_fields=["number", "pin"])
        _end_sessions(person)
    log.warning("number and PIN given, person=%s by=%s", person.pk, by.pk)


def new_secret() -> str:
    """Make the secret of a badge, at random."""
    return "".join(secrets.choice(BADGE_LETTERS) for _ in range(BADGE_LENGTH))


@transaction.atomic
def issue_badges(*, made: Mapping[Person, str], by: Person, at: datetime) -> None:
    """Put new badges in force, each in the place of its person's former one.

    ``made`` gives each person's secret, which is on paper by now and nowhere else.
    """
    for person in made:
        if no := may_give(by.roles, person.roles):
            raise Refused(no.about(person=str(person)))
    for person, secret in made.items():
        revoke_badge(person=person, by=by, at=at)
        Badge.objects.create(
            person=person, digest=digest_of(secret), issued_at=at, issued_by=by
        )
        log.warning("badge issued, person=%s by=%s", person.pk, by.pk)


@transaction.atomic
def revoke_badge(*, person: Person, by: Person, at: datetime) -> int:
    """Take a badge out of force, and end what was begun with it at tablets."""
    revoked = Badge.objects.filter(person=person, revoked_at=None).update(
        revoked_at=at, revoked_by=by
    )
    if revoked:
        _end_sessions(person)
        log.warning("badge revoked, person=%s by=%s", person.pk, by.pk)
    return revoked


def _end_sessions(person: Person) -> None:
    """Sign somebody out at all tablets; a desk's password is another thing."""
    Session.objects.filter(person=person, tablet__isnull=False).delete()
