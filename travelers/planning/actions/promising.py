"""How does an answer become an order with a day that was promised?"""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from travelers.kit.refusals import Refused
from travelers.orders.actions import make_order
from travelers.planning.models import OrderPromise
from travelers.planning.rules import reasons
from travelers.shop.models import Person

# An answer is of the floor as it stood; so long it may be accepted.
STANDS = timedelta(hours=1)


@transaction.atomic
def promise_order(
    *,
    answer: Mapping[str, Any],
    number: str,
    promised_on: date,
    priority: int,
    note: str,
    by: Person,
    at: datetime,
) -> OrderPromise:
    """Make an order as it was asked for, due on the day promised, and keep the promise.

    ``answer`` is what was answered, as its form seals it.
    """
    asked_at = datetime.fromisoformat(answer["asked_at"])
    if at - asked_at > STANDS:
        raise Refused(reasons.ANSWER_OLD)
    order = make_order(
        number=number,
        model_id=answer["model_id"],
        finish=answer["finish"],
        quantity=answer["quantity"],
        due_on=promised_on,
        priority=priority,
        note=note,
        by=by,
        at=at,
    )
    sure = {day: pct for pct, day in answer["days"]}
    half, usual, last = (date.fromisoformat(day) for day in answer["by_on"])
    return OrderPromise.objects.create(
        order=order,
        promised_on=promised_on,
        wished_on=date.fromisoformat(answer["wished_on"]),
        certainty_pct=sure[promised_on.isoformat()],
        half_on=half,
        usual_on=usual,
        sure_on=last,
        asked_at=asked_at,
        seed=answer["seed"],
        futures=answer["futures"],
        digest=answer["digest"],
        made_at=at,
        made_by=by,
    )
