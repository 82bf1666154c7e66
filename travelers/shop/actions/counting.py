"""How are numbers given out, each only once?"""

from django.db import transaction
from django.db.models import F

from travelers.formulas import codes
from travelers.shop.models import Counter


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
