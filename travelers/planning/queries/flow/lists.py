"""Which parts and instruments stand behind a figure of the flow?"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from travelers.floor import queries as on_floor
from travelers.floor.queries import Begun
from travelers.kit.days import span_of
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.orders.models import Instrument, Part
from travelers.orders.rules import InstrumentState
from travelers.planning.queries.counted import alive
from travelers.planning.queries.flow.asked import Asked
from travelers.planning.queries.flow.closed import (
    Closed,
    Leads,
    closed_between,
    leads,
)
from travelers.planning.queries.flow.waits import ready_steps
from travelers.planning.queries.visits import visits
from travelers.planning.rules import Visit
from travelers.routes.rules import Branch
from travelers.shop.models import Stage

MOST_LISTED = 500


@dataclass(frozen=True, slots=True)
class Days:
    """The days that a list is of."""

    first: date
    last: date


@dataclass(frozen=True, slots=True)
class ClosedPage:
    """What left the floor on some days, the longest on it first."""

    days: Days
    rows: tuple[Closed, ...]
    leads: Leads


@dataclass(frozen=True, slots=True)
class VisitRow:
    """A part at a stage: since when, and until when if it went."""

    stage: str
    serial: str
    code: str
    branch: Branch
    since: datetime
    until: datetime | None


@dataclass(frozen=True, slots=True)
class DayPage:
    """Which parts lay at a stage as a day ended, which came and which went on it.

    Each list begins with what had come there first; no stage stands for all of them.
    """

    day: date
    of: Branch | None
    stage: str
    is_over: bool
    lay: tuple[VisitRow, ...]
    came: tuple[VisitRow, ...]
    went: tuple[VisitRow, ...]


@dataclass(frozen=True, slots=True)
class WaitingRow:
    """A part that could be begun with, and is not held."""

    serial: str
    code: str
    operation: str
    ready_at: datetime
    wait: timedelta


@dataclass(frozen=True, slots=True)
class WaitsPage:
    """What waits at a stage now, and what was begun there on some days; each list
    begins with what waits, or had waited, longest."""

    days: Days
    stage: str
    waiting: tuple[WaitingRow, ...]
    rows: tuple[Begun, ...]
    count: int


@dataclass(frozen=True, slots=True)
class PassedRow:
    serial: str
    code: str
    branch: Branch
    model: str
    has_failed: bool


@dataclass(frozen=True, slots=True)
class PassedPage:
    """The parts that were looked at at a stage on some days, those with a defect
    first."""

    days: Days
    stage: str
    rows: tuple[PassedRow, ...]

    @property
    def failed(self) -> int:
        return sum(row.has_failed for row in self.rows)


@dataclass(frozen=True, slots=True)
class ReleasedRow:
    serial: str
    model: str
    order: str
    released_at: datetime
    state: InstrumentState


@dataclass(frozen=True, slots=True)
class ReleasedPage:
    """What came on the floor on some days, the first of it first."""

    days: Days
    rows: tuple[ReleasedRow, ...]


def closed_page(*, days: Days, asked: Asked) -> ClosedPage:
    """List what was finished or scrapped on some days."""
    rows = closed_between(**_time(days, asked))
    return ClosedPage(days, tuple(rows), leads(closed=rows))


def released_page(*, days: Days, asked: Asked) -> ReleasedPage:
    """List what was released on some days: found by its order, which has few rows."""
    time = _time(days, asked)
    rows = Instrument.objects.filter(
        order__released_at__gte=time["since"], order__released_at__lt=time["until"]
    ).order_by("released_at", "serial")
    named = ("serial", "revision__model__name", "order__number")
    return ReleasedPage(
        days,
        tuple(
            ReleasedRow(serial, model, order, released_at, InstrumentState(state))
            for serial, model, order, released_at, state in rows.values_list(
                *named, "released_at", "state"
            )
        ),
    )


def day_page(*, day: date, stage: str, asked: Asked) -> DayPage:
    """List what stood behind the counts of a day, at a stage or at all of them."""
    where = _stage(stage) if stage else None
    start, end = span_of(day, day, asked.zone)
    found = [
        one
        for one in visits(instrument_ids=alive(since=start))
        if one.branch is asked.of and one.since < end and where in (None, one.stage_id)
    ]
    found.sort(key=lambda one: (one.since, one.part_id))
    lay = [one for one in found if one.until is None or one.until >= end]
    came = [one for one in found if one.since >= start]
    went = [one for one in found if one.until and start <= one.until < end]
    named = _names([one.part_id for one in found])
    stages = dict(Stage.objects.order_by().values_list("pk", "name"))
    return DayPage(
        day,
        asked.of,
        stages[where] if where else "",
        day < asked.today,
        _rows(lay, named, stages),
        _rows(came, named, stages),
        _rows(went, named, stages),
    )


def waits_page(*, stage: str, days: Days, asked: Asked) -> WaitsPage:
    """List what waits at a stage, and what was begun there after what wait."""
    where = _stage(stage)
    rows = on_floor.begun(stage_id=where, **_time(days, asked))
    waiting = ready_steps().filter(stage=where).order_by("ready_at", "pk")
    return WaitsPage(
        days,
        _name(where),
        tuple(
            WaitingRow(serial, code, operation, ready_at, asked.at - ready_at)
            for serial, code, operation, ready_at in waiting.values_list(
                "instrument__serial", "part__code", "operation__name", "ready_at"
            )
            if ready_at
        ),
        tuple(rows[:MOST_LISTED]),
        len(rows),
    )


def passed_page(*, stage: str, model: str, days: Days, asked: Asked) -> PassedPage:
    """List the parts that passed a stage, and those that did not at the first time."""
    where = _stage(stage)
    passed = [
        one
        for one in on_floor.passed(**_time(days, asked))
        if one.stage_code == stage and model in ("", one.model)
    ]
    entered = {part for one in passed for part in one.entered}
    failed = {part for one in passed for part in one.failed}
    rows = Part.objects.filter(pk__in=entered).order_by()
    found = [
        PassedRow(serial, code, Branch(branch), name, pk in failed)
        for pk, serial, code, branch, name in rows.values_list(
            "pk",
            "instrument__serial",
            "code",
            "branch",
            "instrument__revision__model__name",
        )
    ]
    found.sort(key=lambda row: (not row.has_failed, row.serial, row.code))
    return PassedPage(days, _name(where), tuple(found))


def _time(days: Days, asked: Asked) -> dict[str, datetime]:
    """Give the time from the first of some days to the end of the last."""
    since, until = span_of(days.first, days.last, asked.zone)
    return {"since": since, "until": until}


def _stage(code: str) -> int:
    found = Stage.objects.filter(code=code).values_list("pk", flat=True).first()
    if found is None:
        raise Refused(NOT_FOUND)
    return found


def _name(stage_id: int) -> str:
    return str(Stage.objects.get(pk=stage_id).name)


def _names(part_ids: list[int]) -> dict[int, tuple[str, str, str]]:
    rows = Part.objects.filter(pk__in=part_ids).order_by()
    return {
        pk: (serial, code, branch)
        for pk, serial, code, branch in rows.values_list(
            "pk", "instrument__serial", "code", "branch"
        )
    }


def _rows(
    found: list[Visit],
    named: dict[int, tuple[str, str, str]],
    stages: dict[int, str],
) -> tuple[VisitRow, ...]:
    return tuple(
        VisitRow(
            stages[one.stage_id], serial, code, Branch(branch), one.since, one.until
        )
        for one in found
        for serial, code, branch in [named[one.part_id]]
    )
