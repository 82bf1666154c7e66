"""What decides the place of the parts that are ready at a station?"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import Any

from django.utils import timezone

from travelers.floor.rules.machine import State
from travelers.floor.rules.queue import Waiting
from travelers.floor.rules.remaining import NOTHING, Ways, once
from travelers.orders.models import Step
from travelers.orders.rules import Look
from travelers.routes.queries import released_route
from travelers.routes.rules import Branch, OperationKind

# What is read of a step beside what its row shows.
COLUMNS = ("operation_id", "operation__revision_id", "instrument_id")
MOMENT = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True)
class Active:
    """A step of an instrument that is ready, in work or lies: how far a branch is."""

    step_id: int
    operation_id: int
    repeat: int
    state: State
    dwell_until: datetime | None

    def left(self, ways: Ways, at: datetime) -> timedelta:
        """Say how long the step itself still takes."""
        if self.state is State.DWELLING and self.dwell_until:
            return max(NOTHING, self.dwell_until - at)
        return once(ways.route.by_id[self.operation_id])


@lru_cache(maxsize=64)
def ways_of(*, revision_id: int) -> Ways:
    """Give the longest ways through a released route, which never changes."""
    return Ways.of(released_route(revision_id=revision_id))


def is_held(step: Mapping[str, Any]) -> bool:
    return bool(
        step["part__held_at"]
        or step["instrument__held_at"]
        or step["part__look"] == Look.HELD
    )


def waiting_of(*, steps: Collection[Mapping[str, Any]], at: datetime) -> list[Waiting]:
    """Say of ready steps, read by COLUMNS, what decides their places: one query."""
    active = _active({step["instrument_id"] for step in steps}) if steps else {}
    return [_waiting(step, active[step["instrument_id"]], at) for step in steps]


def _active(instrument_ids: Iterable[int]) -> Mapping[int, list[Active]]:
    """Read how far the branches of instruments are; one that is done has no step."""
    rows = Step.objects.filter(
        instrument_id__in=list(instrument_ids),
        state__in=[State.READY, State.RUNNING, State.DWELLING],
    ).order_by()
    found: dict[int, list[Active]] = defaultdict(list)
    for instrument_id, pk, operation_id, repeat, state, until in rows.values_list(
        "instrument_id", "pk", "operation_id", "repeat", "state", "dwell_until"
    ):
        found[instrument_id].append(
            Active(pk, operation_id, repeat, State(state), until)
        )
    return found


def _waiting(
    step: Mapping[str, Any], active: Iterable[Active], at: datetime
) -> Waiting:
    first = step["repeat"] == 1
    gap = step[f"operation__longest_{'gap' if first else 'between'}_s"]
    rest = None if first else step["operation__shortest_between_s"]
    ways = ways_of(revision_id=step["operation__revision_id"])
    mates_wait, mates_by = _mates(step, ways, active, at)
    line = ways.route.by_id[step["operation_id"]]
    is_laid = line.kind is OperationKind.HOLD
    return Waiting(
        key=step["id"],
        done_by=_done_by(step, ways),
        ready_at=step["ready_at"],
        held=is_held(step),
        not_before=_after(step["ready_at"], rest),
        not_after=_after(step["ready_at"], gap),
        pinned=step["pin"] is not None,
        mates_wait=mates_wait,
        mates_by=mates_by,
        lies=line.shortest_dwell if is_laid else None,
    )


def _after(moment: datetime, seconds: int | None) -> datetime | None:
    return None if seconds is None else moment + timedelta(seconds=seconds)


def _done_by(step: Mapping[str, Any], ways: Ways) -> date:
    """Count back from the end of the due day what comes after the step."""
    due = step["instrument__order__due_on"] + timedelta(days=1)
    end = datetime.combine(due, time(), tzinfo=timezone.get_current_timezone())
    behind = ways.after(step["operation_id"], step["repeat"])
    return timezone.localdate(end - behind - MOMENT)


def _mates(
    step: Mapping[str, Any], ways: Ways, active: Iterable[Active], at: datetime
) -> tuple[bool, date | None]:
    """Say whether all mates wait at the next join, or until when they are missed."""
    join = ways.next_join(step["operation_id"])
    if join is None or not ways.has_mates(join, Branch(step["part__branch"])):
        return False, None
    come = [
        one.left(ways, at) + left
        for one in active
        if one.step_id != step["id"]
        and one.operation_id in ways.route.by_id
        and (left := ways.until(join, one.operation_id, one.repeat)) is not None
    ]
    if not come:
        return True, None
    own = ways.until(join, step["operation_id"], step["repeat"]) or NOTHING
    return False, timezone.localdate(at + max(come) - own)
