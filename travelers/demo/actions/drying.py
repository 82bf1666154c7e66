"""Who reads the demo's wood while it dries, and what does the meter show?"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

from travelers.demo.actions.living import Floor
from travelers.demo.rules.agenda import Process
from travelers.demo.rules.drying import (
    GLUE_ADDS_PCT,
    Timber,
    dry,
    shown_pct,
    timber,
)
from travelers.demo.rules.tasks import Task
from travelers.floor.rules import Bench, State, StepNow
from travelers.floor.rules.wood import FRESH
from travelers.formulas.wood import equilibrium_moistures_pct
from travelers.lumber import queries as lumber
from travelers.lumber.actions import read_moisture
from travelers.lumber.models import Piece, Room
from travelers.lumber.rules import Metering, Pin
from travelers.orders.rules import InstrumentState

READER = "jonas"
LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)
# On these days somebody walks through the rooms with the meter.
WALKS_ON = "25"
# Wood that came in lately tells nothing; then it is read about once a week, and in
# any case before it is to come out.
FIRST_AFTER, AGAIN_AFTER, BEFORE_END = (
    timedelta(days=5),
    timedelta(days=11),
    timedelta(days=1),
)
A_SET_TAKES = timedelta(minutes=1)


@dataclass(slots=True)
class Stack:
    """A set as it really is, and what was read of it last."""

    pieces: dict[int, Timber]
    # Up to when its way through rooms and workshop is reckoned, by steps.
    stays: set[int] = field(default_factory=set)
    read_at: datetime | None = None
    worst_pct: float = 99.0


class Drying:
    """The wood in the rooms, and whoever reads it."""

    def __init__(self, floor: Floor) -> None:
        self._floor = floor
        self._stacks: dict[int, Stack] = {}
        self._rooms = {room.station.code: room for room in _rooms()}
        self._airs = {code: _equilibriums(room) for code, room in self._rooms.items()}
        floor.may_leave = self.may_leave
        floor.read_again = self.read_again

    def walk(self) -> Process:
        """Walk through the rooms for good, and read what is due."""
        hours = self._floor.shop.day_shift
        while True:
            at = hours.open_from(self._floor.now + timedelta(hours=12))
            if str(hours.day_of(at).isoweekday()) in WALKS_ON:
                yield at + timedelta(minutes=20)
                for bench, step in list(self._lying()):
                    if self._is_due(bench, step):
                        self._read(bench, step)
                        yield self._floor.now + A_SET_TAKES
            else:
                yield at

    def may_leave(self, task: Task) -> bool:
        """Say whether a part was lately read dry; what is no wood may leave."""
        room = self._rooms.get(task.station)
        bench = self._floor.benches[task.instrument_id]
        own = bench.part(task.step.part_id).plank_set_id
        if room is None or own is None:
            return True
        stack = self._stacks.get(own)
        return (
            stack is not None
            and stack.read_at is not None
            and self._floor.now - stack.read_at <= FRESH
            and stack.worst_pct < float(room.limit_pct)
        )

    def read_again(self, task: Task) -> None:
        """Read a set that is out of its room once more, before the glue."""
        bench = self._floor.benches[task.instrument_id]
        self._read(bench, task.step)

    def _lying(self) -> Iterator[tuple[Bench, StepNow]]:
        for bench in self._floor.benches.values():
            if bench.state is InstrumentState.OPEN:
                yield from (
                    (bench, step)
                    for step in bench.steps
                    if step.state is State.DWELLING
                    and self._code(step) in self._rooms
                    and bench.part(step.part_id).plank_set_id
                )

    def _is_due(self, bench: Bench, step: StepNow) -> bool:
        now, stack = self._floor.now, self._stack(bench, step)
        since = step.started_at or now
        if step.dwell_until and now > step.dwell_until - BEFORE_END:
            return stack.read_at is None or now - stack.read_at > A_SET_TAKES * 600
        if stack.read_at is None or stack.read_at < since:
            return now - since > FIRST_AFTER
        return now - stack.read_at > AGAIN_AFTER

    def _read(self, bench: Bench, step: StepNow) -> None:
        floor, stack = self._floor, self._stack(bench, step)
        code = self._code(step) if step.state is State.DWELLING else ""
        self._come_to(stack, step, code)
        chance = floor.chances.of("moisture meter")
        shown = {pk: shown_pct(one, chance) for pk, one in stack.pieces.items()}
        rows = read_moisture(
            plank_set_id=bench.part(step.part_id).plank_set_id or 0,
            how=Metering(floor.now, floor.shop.gauges["moisture_meter"][0].pk),
            pins=[Pin(pk, 1, value) for pk, value in shown.items()],
            by=floor.shop.people[READER],
            at=floor.now,
            sure=True,
        )
        stack.read_at = floor.now
        stack.worst_pct = max(float(row.moisture_pct) for row in rows)

    def _come_to(self, stack: Stack, step: StepNow, code: str) -> None:
        """Let the pieces be what they are now: they lay open, then in the room."""
        if code and step.id not in stack.stays and step.started_at:
            for piece in stack.pieces.values():
                dry(piece, step.started_at, None)
                if stack.stays:
                    piece.moisture_pct += GLUE_ADDS_PCT
            stack.stays.add(step.id)
        for piece in stack.pieces.values():
            dry(piece, self._floor.now, self._airs.get(code))

    def _stack(self, bench: Bench, step: StepNow) -> Stack:
        own = bench.part(step.part_id).plank_set_id or 0
        if own not in self._stacks:
            pieces = list(
                Piece.objects.filter(plank_set_id=own)
                .select_related("plank_set__plank__delivery__species")
                .order_by("letter")
            )
            made = timber(
                species=pieces[0].plank_set.plank.delivery.species.code,
                thickness_mm=float(pieces[0].thickness_mm),
                pieces=len(pieces),
                at=step.started_at or self._floor.now,
                chance=self._floor.chances.of("timber"),
            )
            self._stacks[own] = Stack(
                {piece.pk: one for piece, one in zip(pieces, made, strict=True)}
            )
        return self._stacks[own]

    def _code(self, step: StepNow) -> str:
        return self._floor.codes.get(step.station_id or 0, "")


def _rooms() -> list[Room]:
    return list(Room.objects.select_related("station").order_by("pk"))


def _equilibriums(room: Room) -> dict[date, float]:
    """Say to what each day's air dries wood."""
    course = lumber.course(room_id=room.pk, since=LONG_AGO)
    values = equilibrium_moistures_pct(course.temperature_c, course.humidity_pct)
    days: dict[date, list[float]] = {}
    for at, value in zip(course.at, values, strict=True):
        days.setdefault(at.date(), []).append(float(value))
    return {day: sum(some) / len(some) for day, some in days.items()}
