"""How are numbers given out, each only once, and house rules decided?"""

from datetime import datetime

from django.db import transaction
from django.db.models import F

from travelers.formulas import codes
from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.shop.models import Counter, HouseRules, Person
from travelers.shop.rules import OverdueGauges, Role


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


def decide_overdue_gauges(
    *, decision: OverdueGauges, by: Person, at: datetime
) -> HouseRules:
    """Decide whether overdue gauges are refused, or their readings only marked."""
    if not (by.has(Role.QA) or by.has(Role.ADMIN)):
        raise Refused(NOT_YOUR_ROLE)
    rules, _ = HouseRules.objects.update_or_create(
        pk=1,
        defaults={"overdue_gauges": decision, "changed_at": at, "changed_by": by},
    )
    return rules
