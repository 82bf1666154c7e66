"""What was begun, passed and found at stations in a time, by the ledger as it stands?

Asked by station and time, which have an index; so the answer costs what happened in
that time, and not what happened in all years.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NamedTuple

from django.db.models import Q, QuerySet

from travelers.floor.models import Event
from travelers.floor.rules.machine import BEGINNING, FINISHING, State, Wish
from travelers.shop.models import Station


@dataclass(frozen=True, slots=True)
class Begun:
    """A step that was begun: how long its part had waited for it, and what it is."""

    serial: str
    code: str
    operation: str
    ready_at: datetime
    began_at: datetime

    @property
    def wait(self) -> timedelta:
        return max(self.began_at - self.ready_at, timedelta(0))


@dataclass(frozen=True, slots=True)
class Passed:
    """Parts of one model at one stage: those that came through, those with a defect."""

    model: str
    stage: str
    stage_code: str
    entered: frozenset[int]
    failed: frozenset[int]


def waits(
    *, since: datetime, until: datetime
) -> Iterable[tuple[int, datetime, datetime]]:
    """Give the stage of each step that was begun in a time, and from when to when its
    part had waited for it."""
    rows = _begun(since, until).values_list(
        "step__stage_id", "step__ready_at", "happened_at"
    )
    return ((stage, ready, at) for stage, ready, at in rows if ready)


def begun(*, since: datetime, until: datetime, stage_id: int) -> list[Begun]:
    """List what was begun at a stage in a time, what had waited longest first."""
    rows = _begun(since, until).filter(step__stage_id=stage_id)
    found = [
        Begun(serial, code, operation, ready, at)
        for serial, code, operation, ready, at in rows.values_list(
            "instrument__serial",
            "part__code",
            "step__operation__name",
            "step__ready_at",
            "happened_at",
        )
        if ready
    ]
    return sorted(found, key=lambda one: (one.ready_at - one.began_at, one.code))


def passed(*, since: datetime, until: datetime) -> list[Passed]:
    """Say of each model and stage which parts passed in a time, and which had a defect.

    A part counts once at a stage. One with a defect failed there, whatever was
    decided; it entered whether it came through in the time or not. Where nothing
    passed, nothing is said.
    """
    entered: dict[tuple[str, str], set[int]] = defaultdict(set)
    failed: dict[tuple[str, str], set[int]] = defaultdict(set)
    stages: dict[str, tuple[int, str]] = {}
    ended = _in_time(since, until).filter(kind__in=FINISHING, corrected_by=None)
    for one in _by_stage(ended):
        # What was clamped after its work ended later, with another event.
        if (
            one.state == State.DONE
            and one.finished_at
            and since <= one.finished_at < until
        ):
            entered[one.model, one.stage].add(one.part)
            stages[one.stage] = (one.place, one.code)
    for one in _by_stage(_in_time(since, until).filter(kind=Wish.DEFECT)):
        failed[one.model, one.stage].add(one.part)
    return [
        Passed(
            model,
            stage,
            stages[stage][1],
            frozenset(entered[model, stage] | failed[model, stage]),
            frozenset(failed[model, stage]),
        )
        for model, stage in sorted(entered, key=lambda key: (key[0], stages[key[1]]))
    ]


def _begun(since: datetime, until: datetime) -> QuerySet[Event]:
    return (
        _in_time(since, until)
        .filter(kind__in=BEGINNING, corrected_by=None, step__ready_at__isnull=False)
        .order_by()
    )


def _in_time(since: datetime, until: datetime) -> QuerySet[Event]:
    """Give the accepted events of a time, by their stations or none."""
    stations = list(Station.objects.order_by().values_list("pk", flat=True))
    return Event.objects.filter(
        Q(station_id__in=stations) | Q(station_id__isnull=True),
        happened_at__gte=since,
        happened_at__lt=until,
        accepted=True,
    )


class _Row(NamedTuple):
    model: str
    stage: str
    code: str
    place: int
    part: int
    state: str
    finished_at: datetime | None


def _by_stage(rows: QuerySet[Event]) -> Iterator[_Row]:
    """Read what events were about.

    Of the step nothing is asked in the database, or it might begin with the steps of
    all years.
    """
    for row in rows.order_by().values_list(
        "instrument__revision__model__name",
        "step__stage__name",
        "step__stage__code",
        "step__stage__position",
        "part_id",
        "step__state",
        "step__finished_at",
    ):
        yield _Row(*row)
