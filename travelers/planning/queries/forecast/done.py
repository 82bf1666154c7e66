"""Which steps were done lately, and what do they teach?"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Count

from travelers.lumber.models import Room
from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.planning.queries.drying import dried, readings_of
from travelers.routes.models import Operation
from travelers.routes.rules import OperationKind

# An operation by model, branch and number: the same in all revisions.
Key = tuple[int, str, int]
# What is waited for: an operation, and whether it is a coat after the first.
Turn = tuple[Key, bool]


@dataclass(frozen=True, slots=True)
class Done:
    """A step that was done.

    ``may_start_at`` is when it was ready and had rested; ``may_go_at`` when it had lain
    long enough, and wood was read dry; ``dry_at`` the latter alone.  It had to lie for
    ``shortest``.
    """

    turn: Turn
    station_id: int
    is_hold: bool
    may_start_at: datetime
    started_at: datetime
    worked_until: datetime
    may_go_at: datetime | None
    dry_at: datetime | None
    finished_at: datetime
    shortest: timedelta

    @property
    def key(self) -> Key:
        return self.turn[0]


def done_steps(*, since: datetime, until: datetime) -> list[Done]:
    """List what was done in a time, in the order of its end."""
    dry = _dry(until)
    lines = {
        one.pk: one for one in Operation.objects.select_related("revision").order_by()
    }
    rows = Step.objects.filter(
        state=StepState.DONE,
        finished_at__gt=since,
        finished_at__lte=until,
        started_at__gte=since,
        ready_at__isnull=False,
        at_station__isnull=False,
    ).values_list(
        "pk",
        "operation_id",
        "at_station_id",
        "repeat",
        "ready_at",
        "started_at",
        "dwell_until",
        "finished_at",
    )
    found = []
    for pk, operation, *told in rows.order_by("finished_at", "id"):
        station, repeat, *times = told
        found.append(_done(lines[operation], dry.get(pk), station, repeat, times))
    return found


def _done(
    line: Operation,
    dry_at: datetime | None,
    station: Any,
    repeat: Any,
    times: Any,
) -> Done:
    ready, started, until, finished = times
    rests = line.shortest_between_s or 0 if repeat > 1 else 0
    is_hold = line.kind == OperationKind.HOLD
    worked = finished
    if until and not is_hold:
        worked = until - timedelta(seconds=line.shortest_dwell_s)
    may_go = [moment for moment in (until, dry_at) if moment]
    return Done(
        ((line.revision.model_id, line.branch, line.number), repeat > 1),
        station,
        is_hold,
        min(started, ready + timedelta(seconds=rests)),
        started,
        min(worked, finished),
        min(max(may_go), finished) if may_go else None,
        dry_at,
        finished,
        timedelta(seconds=line.shortest_dwell_s),
    )


def done_count(*, since: datetime, until: datetime) -> Counter[Key]:
    """Count how often each operation was done in a time."""
    rows = (
        Step.objects.filter(
            state=StepState.DONE, finished_at__gt=since, finished_at__lte=until
        )
        .order_by()
        .values_list("operation_id")
        .annotate(count=Count("pk"))
    )
    counts = dict(rows)
    found: Counter[Key] = Counter()
    for operation, key in keys_of(operation_ids=counts).items():
        found[key] += counts[operation]
    return found


def keys_of(*, operation_ids: Iterable[int]) -> dict[int, Key]:
    """Name operations by model, branch and number."""
    rows = Operation.objects.filter(pk__in=list(operation_ids)).values_list(
        "pk", "revision__model_id", "branch", "number"
    )
    return {pk: (model, branch, number) for pk, model, branch, number in rows}


def planned_s() -> dict[Key, int]:
    """Say how many seconds each operation is planned to take, as it was last."""
    rows = Operation.objects.order_by("revision_id").values_list(
        "revision__model_id", "branch", "number", "planned_s"
    )
    return {(model, branch, number): planned for model, branch, number, planned in rows}


def _dry(until: datetime) -> dict[int, datetime]:
    """Say when wood that is out of its room was first read dry there, by step."""
    found = {}
    for code, limit in Room.objects.order_by("id").values_list(
        "station__code", "limit_pct"
    ):
        lots = dried(room_code=code, until=until)
        for step_id, sessions in readings_of(lots).items():
            dry = [one.read_at for one in sessions if one.worst_pct < float(limit)]
            if dry:
                found[step_id] = min(dry)
    return found
