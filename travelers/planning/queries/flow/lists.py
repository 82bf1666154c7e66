"""Which parts and instruments stand behind a figure of the flow?"""

from dataclasses import dataclass
from datetime import date, datetime

from travelers.floor import queries as on_floor
from travelers.floor.queries import Begun
from travelers.kit.days import span_of
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.orders.models import Part
from travelers.planning.queries.counted import alive
from travelers.planning.queries.flow.asked import Asked
from travelers.planning.queries.flow.closed import (
    Closed,
    Leads,
    closed_between,
    leads,
)
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

    serial: str
    code: str
    branch: Branch
    since: datetime
    until: datetime | None


@dataclass(frozen=True, slots=True)
class DayPage:
    """Which parts lay at a stage as a day ended, which came and which went on it.

    Each list begins with what had come there first.
    """

    day: date
    of: Branch | None
    stage: str
    is_over: bool
    lay: tuple[VisitRow, ...]
    came: tuple[VisitRow, ...]
    went: tuple[VisitRow, ...]


@dataclass(frozen=True, slots=True)
class WaitsPage:
    """What was begun at a stage on some days, what had waited longest first."""

    days: Days
    stage: str
    rows: tuple[Begun, ...]
    count: int


@dataclass(frozen=True, slots=True)
class FailedRow:
    serial: str
    code: str
    branch: Branch
    model: str


@dataclass(frozen=True, slots=True)
class FailedPage:
    """The parts with a defect that was found at a stage on some days."""

    days: Days
    stage: str
    entered: int
    rows: tuple[FailedRow, ...]


def closed_page(*, days: Days, asked: Asked) -> ClosedPage:
    """List what was finished or scrapped on some days."""
    rows = closed_between(**_time(days, asked))
    return ClosedPage(days, tuple(rows), leads(closed=rows))


def day_page(*, day: date, stage: str, asked: Asked) -> DayPage:
    """List what stood behind the counts of a day at a stage."""
    where = _stage(stage)
    start, end = span_of(day, day, asked.zone)
    found = [
        one
        for one in visits(instrument_ids=alive(since=start))
        if (one.stage_id, one.branch) == (where.pk, asked.of) and one.since < end
    ]
    found.sort(key=lambda one: (one.since, one.part_id))
    lay = [one for one in found if one.until is None or one.until >= end]
    came = [one for one in found if one.since >= start]
    went = [one for one in found if one.until and start <= one.until < end]
    named = _names([one.part_id for one in found])
    return DayPage(
        day,
        asked.of,
        where.name,
        day < asked.today,
        _rows(lay, named),
        _rows(came, named),
        _rows(went, named),
    )


def waits_page(*, stage: str, days: Days, asked: Asked) -> WaitsPage:
    """List what was begun at a stage on some days, and how long it had waited."""
    where = _stage(stage)
    rows = on_floor.begun(stage_id=where.pk, **_time(days, asked))
    return WaitsPage(days, where.name, tuple(rows[:MOST_LISTED]), len(rows))


def failed_page(*, stage: str, days: Days, asked: Asked) -> FailedPage:
    """List the parts that did not pass a stage at the first time."""
    where = _stage(stage)
    passed = [
        one
        for one in on_floor.passed(**_time(days, asked))
        if one.stage_code == where.code
    ]
    failed = {part for one in passed for part in one.failed}
    rows = Part.objects.filter(pk__in=failed).order_by("instrument__released_at", "pk")
    return FailedPage(
        days,
        where.name,
        len({part for one in passed for part in one.entered}),
        tuple(
            FailedRow(serial, code, Branch(branch), model)
            for serial, code, branch, model in rows.values_list(
                "instrument__serial",
                "code",
                "branch",
                "instrument__revision__model__name",
            )
        ),
    )


def _time(days: Days, asked: Asked) -> dict[str, datetime]:
    """Give the time from the first of some days to the end of the last, or to now."""
    since, until = span_of(days.first, days.last, asked.zone)
    return {"since": since, "until": min(until, asked.at)}


def _stage(code: str) -> Stage:
    found = Stage.objects.filter(code=code).first()
    if found is None:
        raise Refused(NOT_FOUND)
    return found


def _names(part_ids: list[int]) -> dict[int, tuple[str, str, str]]:
    rows = Part.objects.filter(pk__in=part_ids).order_by()
    return {
        pk: (serial, code, branch)
        for pk, serial, code, branch in rows.values_list(
            "pk", "instrument__serial", "code", "branch"
        )
    }


def _rows(
    found: list[Visit], named: dict[int, tuple[str, str, str]]
) -> tuple[VisitRow, ...]:
    return tuple(
        VisitRow(serial, code, Branch(branch), one.since, one.until)
        for one in found
        for serial, code, branch in [named[one.part_id]]
    )
