"""Who shows this badge, or types this number and PIN, at a tablet?

Nobody is signed in here: a sign-in asks, and so does whoever needs the yes of a second
person at the same tablet.
"""

import hashlib
import logging
from datetime import datetime

from django.contrib.auth.hashers import check_password
from django.db import transaction

from travelers.kit.refusals import Refused
from travelers.shop.models import Badge, Person, PinTry, Tablet
from travelers.shop.rules import (
    BADGE_NOT_KNOWN,
    MOST_FAILURES,
    NOT_KNOWN,
    NUMBER,
    TABLET_REVOKED,
    Tries,
    read_badge,
)

log = logging.getLogger(__name__)


def digest_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def known_by(
    *,
    tablet: Tablet | None,
    badge: str = "",
    number: str = "",
    pin: str = "",
    at: datetime,
) -> Person:
    """Give the person who is known by a badge, or by number and PIN, or refuse.

    ``badge`` is what was scanned, the whole link or the secret alone.  Without a
    tablet that is let in nobody is known.  Not to be called inside a transaction: a
    wrong try is counted although it is refused.

    1. A badge is looked up by its digest.
    2. A PIN's try is counted before the PIN is looked at, so that many at once get
       no more looks than one after the other.
    3. Where nobody has the number, as much time goes into saying no.
    4. What was right is forgotten as a try.
    """
    if tablet is not None and tablet.revoked_at is not None:
        raise Refused(TABLET_REVOKED)
    if badge:
        return _by_badge(tablet, badge)
    if tablet is None or not NUMBER.fullmatch(number):
        check_password(pin, "")
        raise Refused(NOT_KNOWN)
    _count_try(tablet, number, at)
    person = Person.objects.filter(number=number, is_active=True).first()
    if not check_password(pin, person.pin if person else "") or person is None:
        raise Refused(NOT_KNOWN)
    PinTry.objects.filter(tablet=tablet, number=number).update(failures=0)
    return person


def _by_badge(tablet: Tablet | None, badge: str) -> Person:
    secret = read_badge(badge)
    found = (
        Badge.objects.select_related("person")
        .filter(digest=digest_of(secret), revoked_at=None, person__is_active=True)
        .first()
    )
    if tablet is None or not secret or found is None:
        log.warning("badge refused, tablet=%s", tablet.pk if tablet else None)
        raise Refused(BADGE_NOT_KNOWN)
    return found.person


def _count_try(tablet: Tablet, number: str, at: datetime) -> None:
    with transaction.atomic(durable=True):
        PinTry.objects.get_or_create(
            tablet=tablet, number=number, defaults={"failures": 0, "last_at": at}
        )
        row = PinTry.objects.select_for_update().get(tablet=tablet, number=number)
        tries = Tries(row.failures, row.last_at)
        if tries.is_paused(at):
            raise Refused(NOT_KNOWN)
        row.failures, row.last_at = tries.one_more(at), at
        row.save(update_fields=["failures", "last_at"])
    if row.failures == MOST_FAILURES:
        log.warning("PIN tries used up, number=%s tablet=%s", number, tablet.pk)


@transaction.atomic
def lift_pause(*, person: Person, by: Person) -> int:
    """Let a person try again at every tablet; say at how many he could not."""
    tries = PinTry.objects.filter(number=person.number or "", failures__gt=0)
    paused = tries.update(failures=0)
    log.warning("PIN pause lifted, person=%s by=%s", person.pk, by.pk)
    return paused
