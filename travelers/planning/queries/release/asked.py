"""Which orders wait for their release, and under which limits?"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Q

from travelers.orders.models import Instrument, WorkOrder
from travelers.planning.models import ReleaseRules
from travelers.planning.queries.forecast.to_come import ToCome
from travelers.planning.rules import USUAL_CERTAINTY

# Without a limit that somebody set, the most that was in work in so long a time is one.
LATELY = timedelta(weeks=13)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a plan is asked for; ``most`` instruments may be in work, None for any.

    ``is_set`` says that a planner set the limit.
    """

    certainty_pct: int
    most: int | None
    is_set: bool
    orders: tuple[ToCome, ...]

    @property
    def certainty(self) -> float:
        return self.certainty_pct / 100

    @property
    def mark(self) -> list[Any]:
        """Tell one question from another, in a form that can be kept."""
        told = [
            [one.number, one.revision_id, one.quantity, one.due_on.isoformat()]
            for one in self.orders
        ]
        return [self.certainty_pct, self.most, told]


def asked(*, at: datetime) -> Asked:
    """Read the orders that are not released, and the limits a planner has set."""
    rules = ReleaseRules.objects.first()
    orders = tuple(
        ToCome(
            one.number,
            one.pk,
            one.revision.model_id,
            one.revision_id,
            one.quantity,
            one.due_on,
            one.priority,
        )
        for one in WorkOrder.objects.filter(released_at=None)
        .select_related("revision")
        .order_by("due_on", "priority", "id")
    )
    own = rules.most_in_work if rules else None
    largest = max((one.quantity for one in orders), default=0)
    lately = most_lately(at=at)
    return Asked(
        rules.certainty_pct if rules else USUAL_CERTAINTY,
        own or (max(lately, largest) if lately else None),
        own is not None,
        orders,
    )


def most_lately(*, at: datetime) -> int:
    """Say how many instruments were in work at once, at the most, in a quarter."""
    since = at - LATELY
    rows = (
        Instrument.objects.filter(Q(closed_at__isnull=True) | Q(closed_at__gt=since))
        .order_by()
        .values_list("released_at", "closed_at")
    )
    turns: list[tuple[datetime, int]] = []
    for released_at, closed_at in rows:
        turns.append((max(released_at, since), 1))
        if closed_at:
            turns.append((closed_at, -1))
    most = there = 0
    for _, change in sorted(turns):
        there += change
        most = max(most, there)
    return most
