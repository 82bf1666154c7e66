"""How are numbers and tag codes given out, and who stands at a tablet?"""

from datetime import datetime

from django.contrib.auth.hashers import check_password
from django.db import transaction
from django.db.models import F

from travelers.formulas import codes
from travelers.kit.refusals import Refused
from travelers.shop.models import Counter, Person, Tablet
from travelers.shop.rules import NOT_KNOWN


@transaction.atomic
def take_numbers(*, series: str, count: int) -> range:
    """Give out ``count`` numbers of a series; the counter's row is the lock."""
    if not Counter.objects.filter(series=series).update(last=F("last") + count):
        Counter.objects.get_or_create(series=series)
        Counter.objects.filter(series=series).update(last=F("last") + count)
    last = Counter.objects.values_list("last", flat=True).get(series=series)
    return range(last - count + 1, last + 1)


def take_codes(*, kind: str, count: int) -> list[str]:
    """Give out ``count`` tag codes of one kind (see ``formulas.codes``)."""
    return [
        codes.make(number, kind)
        for number in take_numbers(series=f"code {kind}", count=count)
    ]


def known_by(
    *,
    tablet: Tablet | None,
    badge: str = "",
    number: str = "",
    pin: str = "",
    at: datetime,
) -> Person:
    """Give the person who is known by a badge, or by number and PIN, or refuse.

    Until people have badges, numbers and PINs of their own, the user name stands in
    for the number and the password for the PIN; no badge is known.
    """
    if tablet is None or badge:
        raise Refused(NOT_KNOWN)
    person = Person.objects.filter(username=number, is_active=True).first()
    if not check_password(pin, person.password if person else "") or person is None:
        raise Refused(NOT_KNOWN)
    return person
