"""Who shows this badge, or types this number and PIN, at a tablet?

Nobody is signed in here: a sign-in asks, and so does whoever needs the yes of a second
person at the same tablet.
"""

import logging
from datetime import datetime

from django.contrib.auth.hashers import check_password
from django.db import transaction

from travelers.kit.refusals import Refusal, Refused
from travelers.shop.models import Badge, Person, PinTry, Tablet
from travelers.shop.rules import (
    BADGE_NOT_KNOWN,
    MOST_FAILURES,
    NOT_KNOWN,
    NUMBER,
    TABLET_REVOKED,
    Tries,
    digest_of,
    read_badge,
)

log = logging.getLogger(__name__)


def known_by(
    *,
    tablet: Tablet | None,
    badge: str = "",
    number: str = "",
    pin: str = "",
    at: datetime,
) -> Person:
    """Give the person who is known by a badge, or by number and PIN, or refuse.

    See :func:`who_is`.
    """
    answer = who_is(tablet=tablet, badge=badge, number=number, pin=pin, at=at)
    if isinstance(answer, Refusal):
        raise Refused(answer)
    return answer


def who_is(
    *,
    tablet: Tablet | None,
    badge: str = "",
    number: str = "",
    pin: str = "",
    at: datetime,
) -> Person | Refusal:
    """Say who is known by a badge, or by number and PIN, or why nobody is.

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
        return TABLET_REVOKED
    if badge:
        return _by_badge(tablet, badge)
    if tablet is None or not NUMBER.fullmatch(number):
        check_password(pin, "")
        return NOT_KNOWN
    return _by_pin(tablet, number, pin, at)


def _by_pin(tablet: Tablet, number: str, pin: str, at: datetime) -> Person | Refusal:
    if not _count_try(tablet, number, at):
        return NOT_KNOWN
    person = Person.objects.filter(number=number, is_active=True).first()
    if not check_password(pin, person.pin if person else "") or person is None:
        return NOT_KNOWN
    PinTry.objects.filter(tablet=tablet, number=number).update(failures=0)
    return person


def _by_badge(tablet: Tablet | None, badge: str) -> Person | Refusal:
    secret = read_badge(badge)
    found = (
        Badge.objects.select_related("person")
        .filter(digest=digest_of(secret), revoked_at=None, person__is_active=True)
        .first()
    )
    if tablet is None or not secret or found is None:
        log.warning("badge refused, tablet=%s", tablet.pk if tablet else None)
        return BADGE_NOT_KNOWN
    return found.person


def _count_try(tablet: Tablet, number: str, at: datetime) -> bool:
    """Count one more try, as if it were wrong; say whether there is one left."""
    with transaction.atomic(durable=True):
        PinTry.objects.get_or_create(
            tablet=tablet, number=number, defaults={"failures": 0, "last_at": at}
        )
        row = PinTry.objects.select_for_update().get(tablet=tablet, number=number)
        tries = Tries(row.failures, row.last_at)
        if tries.is_paused(at):
            return False
        row.failures, row.last_at = tries.one_more(at), at
        row.save(update_fields=["failures", "last_at"])
    if row.failures == MOST_FAILURES:
        log.warning("last PIN try used, number=%s tablet=%s", number, tablet.pk)
    return True


@transaction.atomic
def lift_pause(*, person: Person, by: Person) -> int:
    """Let a person try again at every tablet; say at how many tries were counted."""
    tries = PinTry.objects.filter(number=person.number or "", failures__gt=0)
    counted = tries.update(failures=0)
    log.warning("PIN pause lifted, person=%s by=%s", person.pk, by.pk)
    return counted
