"""How long do parts wait at each stage before somebody begins with them?"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Min, QuerySet

from travelers.floor import queries as on_floor
from travelers.formulas.percentiles import percentile
from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.planning.queries.flow.asked import Asked
from travelers.planning.queries.flow.closed import PERCENTILES
from travelers.planning.queries.stations import ACTIVE, IS_HELD
from travelers.shop.models import Stage


@dataclass(frozen=True, slots=True)
class WaitRow:
    """The waits at a stage from ready to begun: of those begun, and of those not yet.

    ``waiting`` are ready and not held, ``longest`` is the wait of the first of them.
    """

    code: str
    name: str
    begun: int
    percentiles: tuple[timedelta, ...]
    waiting: int
    longest: timedelta | None


def waits(*, asked: Asked) -> tuple[WaitRow, ...]:
    """Say for each stage how long steps waited there before they were begun."""
    hours: dict[int, list[float]] = defaultdict(list)
    for stage, ready_at, began_at in on_floor.waits(
        since=asked.since, until=asked.until
    ):
        hours[stage].append(max((began_at - ready_at).total_seconds(), 0) / 3600)
    now = _waiting(asked.at)
    return tuple(
        WaitRow(
            code,
            name,
            len(hours[pk]),
            tuple(
                timedelta(hours=percentile(hours[pk], pct))
                for pct in PERCENTILES
                if hours[pk]
            ),
            *now.get(pk, (0, None)),
        )
        for pk, code, name in Stage.objects.order_by("position").values_list(
            "pk", "code", "name"
        )
        if hours[pk] or pk in now
    )


def _waiting(at: datetime) -> dict[int, tuple[int, timedelta]]:
    rows = (
        ready_steps()
        .order_by()
        .values_list("stage_id")
        .annotate(n=Count("*"), first=Min("ready_at"))
    )
    return {stage: (n, at - first) for stage, n, first in rows}


def ready_steps() -> QuerySet[Step]:
    """Give the steps that could be begun, by the index of active steps.

    Its three states are named first, or the database would not know that it may use it.
    """
    active = Step.objects.filter(state__in=ACTIVE, state=StepState.READY)
    return active.exclude(IS_HELD)
