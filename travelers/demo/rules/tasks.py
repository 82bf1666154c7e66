"""What waits for a hand at a station, and which of it is taken first?"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from travelers.floor.rules import Bench, State, StepNow, Wish
from travelers.routes.rules import Branch, Line, OperationKind

# A window that closes within this time goes before all else.
URGENT = timedelta(hours=30)
HOT = timedelta(hours=4)
# The room is emptied from Monday to Thursday, so that what comes out of it dry is
# read and planed before it drinks again over a weekend.
EMPTYING_DAYS = "1234"
LONG_HOLD = timedelta(days=5)
CARRIED_SOON = (5, 50)
# To these stages parts go by the trolley, which waits until it is worth the way:
# minutes of the shift, least and most.
CARRIED = {
    "MACHINING": (60, 600),
    "SANDING": (200, 1100),
    "FRETTING": (20, 300),
    "FINISHING": (60, 600),
    "POLISHING": (300, 1300),
    "TEST_PLAY": (60, 480),
}
# It is not waited for where a window closes within this time.
SHORT_WINDOW = timedelta(hours=100)
# Between two coats a part hangs until the booth is free of the last one's fog.
HANGS_ON = (30, 720)
# An order is begun bit by bit, and its harnesses are wired meanwhile.
BEGUN: dict[Branch, tuple[float, float]] = {
    Branch.BODY: (20, 2600),
    Branch.NECK: (60, 4200),
    Branch.ELECTRONICS: (60, 7000),
}
# Beyond the shortest time wood and film lie on until somebody finds them ready: hours
# of the shift, least and most.
LIES_ON = {"DRYING": (1.0, 95.0), "CURING": (1.0, 34.0)}
LIES_ON_ELSEWHERE = (0.2, 8.0)


@dataclass(frozen=True, slots=True)
class Task:
    """One scan, or a scan and the work behind it, that waits at a station."""

    wish: Wish
    step: StepNow
    line: Line
    instrument_id: int
    code: str
    station: str
    waits_since: datetime
    ends_at: datetime | None = None

    def rank(self, now: datetime) -> tuple[bool, datetime]:
        urgent = self.ends_at is not None and self.ends_at - now < URGENT
        return (not urgent, self.waits_since)


def wish_for(step: StepNow, line: Line) -> Wish | None:
    """Say what a hand does about a step in its state."""
    if step.state is State.READY:
        return Wish.LOAD if line.kind is OperationKind.HOLD else Wish.START
    if step.state is State.DWELLING:
        return Wish.TAKE_OUT
    return None


def is_due(task: Task, bench: Bench) -> bool:
    """Say whether a task still says what the part's current step needs."""
    step = bench.current(task.step.part_id)
    if step is None or step.id != task.step.id:
        return False
    if task.wish is Wish.FINISH:
        return step.state is State.RUNNING
    return wish_for(step, task.line) is task.wish


def is_held(task: Task, bench: Bench) -> bool:
    if bench.held_at is not None:
        return True
    return any(part.held_at for part in bench.parts_in(task.step))


def next_station_id(bench: Bench, step: StepNow) -> int | None:
    """Say where a part goes after ``step``, if its branch goes on to one station."""
    after = (
        other
        for other in bench.steps
        if other.part_id == step.part_id and other.position > step.position
    )
    return next((other.station_id for other in after), None)


def begins_part(bench: Bench, step: StepNow, line: Line) -> bool:
    """Say whether a step is the first of its part's way."""
    first = next(other for other in bench.route.lines if other.branch is line.branch)
    return line is first and step.repeat == 1 and step.turn == 0


def opens_at(step: StepNow, line: Line) -> datetime | None:
    """Say when a part that must lie may be gone on with."""
    if step.state is State.DWELLING:
        return step.dwell_until
    if step.repeat > 1 and step.ready_at and line.shortest_between:
        return step.ready_at + line.shortest_between
    return None


def ends_at(step: StepNow, line: Line) -> datetime | None:
    gap = line.longest_gap if step.repeat == 1 else line.longest_between
    if gap is None or step.ready_at is None or step.state is not State.READY:
        return None
    return step.ready_at + gap
