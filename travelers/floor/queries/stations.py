"""What is ready, in work and lying at a station?"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import F, Q
from django.utils import timezone

from travelers.floor.queries import urgency
from travelers.floor.queries.pins import pin_of_row, reasons_of
from travelers.floor.rules.facts import Place
from travelers.floor.rules.machine import State
from travelers.floor.rules.queue import Placed, Waiting, Why, changes, line_up
from travelers.kit.news import end_of_day
from travelers.orders.models import Step
from travelers.orders.rules import InstrumentState, Look
from travelers.routes.rules import OperationKind

MOST_READ = 300
MOST_SHOWN = 12
COLUMNS = (
    "id",
    "state",
    "repeat",
    "ready_at",
    "started_at",
    "dwell_until",
    "part__code",
    "part__branch",
    "part__held_at",
    "part__look",
    "operation__name",
    "operation__times",
    "operation__kind",
    "operation__longest_gap_s",
    "operation__shortest_between_s",
    "operation__longest_between_s",
    "instrument__serial",
    "instrument__held_at",
    "instrument__order__due_on",
    "instrument__order__finish",
    "instrument__revision__model__name",
)


@dataclass(frozen=True, slots=True)
class Row:
    """One part in a station's lists."""

    step_id: int
    code: str
    serial: str
    model: str
    finish: str
    branch: str
    operation: str
    due_on: date
    look: Look
    since: datetime
    waited: timedelta
    today: date
    why: Why | None = None
    until: datetime | None = None
    can_be_taken: bool = True
    is_laid: bool = False
    # When it is wanted, why a planner put it first, whose load it fills.
    wanted_on: date | None = None
    pin: str = ""
    beside: str = ""


@dataclass(frozen=True, slots=True)
class Idle:
    """A station with nothing on its screen: what it could do, does and keeps."""

    ready: tuple[Row, ...]
    ready_more: int
    running: tuple[Row, ...]
    lying: tuple[Row, ...]
    lying_more: int
    out_now: int
    can_load: bool
    is_room: bool = False
    # When these lists become others though nothing happens.
    changes: tuple[datetime, ...] = ()


def idle(*, place: Place, at: datetime, most: int = MOST_SHOWN) -> Idle:
    """List a station's parts, of each list at most so many."""
    waiting, ready = _ready(place, at)
    here = [_row(step, at) for step in _at(place)]
    lying = [row for row in here if row.until is not None]
    running = [row for row in here if row.until is None]
    return Idle(
        ready=tuple(ready[:most]),
        ready_more=max(0, len(ready) - most),
        running=tuple(running[:most]),
        lying=tuple(lying[:most]),
        lying_more=max(0, len(lying) - most),
        out_now=sum(row.can_be_taken for row in lying),
        can_load=not place.attended or any(row.is_laid for row in ready),
        is_room=not place.attended,
        changes=(
            end_of_day(at),
            *changes(waiting),
            *(row.until for row in lying if row.until),
        ),
    )


def all_ready(*, place: Place, at: datetime) -> list[Row]:
    """List what is ready at a station, in line."""
    return _ready(place, at)[1]


def all_lying(*, place: Place, at: datetime) -> list[Row]:
    """List what lies at a station, what may come out first at the head."""
    return [row for row in (_row(step, at) for step in _at(place)) if row.until]


def _ready(place: Place, at: datetime) -> tuple[list[Waiting], list[Row]]:
    """Give what is ready, with what decides its place, and the same in line."""
    today = timezone.localdate(at)
    steps = {
        step["id"]: step
        for step in Step.objects.filter(
            Q(station_id=place.id) | Q(station=None, stage_id=place.stage_id),
            state=State.READY,
            instrument__state=InstrumentState.OPEN,
        )
        .annotate(pin=pin_of_row(station_id=place.id, today=today))
        .order_by(
            F("pin").asc(nulls_last=True),
            "instrument__order__due_on",
            "ready_at",
            "id",
        )
        .values(*COLUMNS, *urgency.COLUMNS, "pin")[:MOST_READ]
    }
    waiting = urgency.waiting_of(steps=steps.values(), at=at)
    pins = {step["pin"] for step in steps.values() if step["pin"]}
    told = _Told(steps, {one.key: one for one in waiting}, reasons_of(pin_ids=pins), at)
    room = 0 if place.attended else place.places_free
    line = line_up(waiting, at=at, today=today, room=room)
    return waiting, [told.row(one) for one in line]


@dataclass(frozen=True, slots=True)
class _Told:
    """What was read of a station's ready steps, to say of each why it stands there."""

    steps: Mapping[int, dict[str, Any]]
    waiting: Mapping[int, Waiting]
    pins: Mapping[int, str]
    at: datetime

    def row(self, one: Placed) -> Row:
        step = self.steps[one.key]
        beside = self.steps[one.beside] if one.beside else None
        return replace(
            _row(step, self.at),
            why=one.why,
            until=one.until,
            can_be_taken=one.can_be_taken,
            wanted_on=self.waiting[one.key].wanted_on,
            pin=self.pins.get(step["pin"], ""),
            beside=beside["instrument__serial"] if beside else "",
        )


def _at(place: Place) -> list[dict[str, Any]]:
    """Read what is in work or lies here, what may come out first at the head."""
    return list(
        Step.objects.filter(
            at_station_id=place.id,
            state__in=[State.RUNNING, State.DWELLING],
            instrument__state=InstrumentState.OPEN,
        )
        .order_by("dwell_until", "started_at", "id")
        .values(*COLUMNS)[:MOST_READ]
    )


def _row(step: dict[str, Any], at: datetime) -> Row:
    times = step["operation__times"]
    name = step["operation__name"]
    lies = step["state"] == State.DWELLING
    since = step["ready_at"] if step["state"] == State.READY else step["started_at"]
    return Row(
        step_id=step["id"],
        code=step["part__code"],
        serial=step["instrument__serial"],
        model=step["instrument__revision__model__name"],
        finish=step["instrument__order__finish"],
        branch=step["part__branch"],
        operation=f"{name} {step['repeat']}/{times}" if times > 1 else name,
        due_on=step["instrument__order__due_on"],
        look=_look(step),
        since=since,
        waited=at - since,
        today=timezone.localdate(at),
        until=step["dwell_until"] if lies else None,
        can_be_taken=not lies or step["dwell_until"] <= at,
        is_laid=step["operation__kind"] == OperationKind.HOLD,
    )


def _look(step: dict[str, Any]) -> Look:
    if urgency.is_held(step):
        return Look.HELD
    if step["state"] == State.READY:
        return Look.WAITING
    return Look.DWELLING if step["state"] == State.DWELLING else Look.IN_WORK
