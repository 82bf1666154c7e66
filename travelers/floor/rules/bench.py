"""What lies on the bench: one instrument's parts, its open steps, and their order?"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import groupby

from travelers.floor.rules.machine import OPEN, State
from travelers.orders.rules import InstrumentState, Look
from travelers.routes.rules import Branch, Joins, Route

# What of a step, a part and an instrument follows from the ledger.
STEP_MOVES = (
    "state",
    "ready_at",
    "started_at",
    "dwell_until",
    "finished_at",
    "at_station_id",
)
PART_PLACE = ("stage_id", "look", "since", "held_at")
PART_MOVES = (*PART_PLACE, "scrapped_at", "wants_wood")
INSTRUMENT_MOVES = ("state", "closed_at", "held_at")


@dataclass(frozen=True, slots=True)
class StepNow:
    """A step as the projection has it; open steps only are kept on the bench."""

    id: int
    part_id: int
    operation_id: int
    position: int
    repeat: int
    turn: int
    state: State
    stage_id: int
    station_id: int | None
    ready_at: datetime | None = None
    started_at: datetime | None = None
    dwell_until: datetime | None = None
    finished_at: datetime | None = None
    at_station_id: int | None = None
    stage: str = ""
    station: str = ""

    @property
    def place(self) -> str:
        return self.station or self.stage


@dataclass(frozen=True, slots=True)
class PartNow:
    id: int
    branch: Branch
    code: str
    plank_set_id: int | None
    held_at: datetime | None = None
    stage_id: int | None = None
    look: Look | None = None
    since: datetime | None = None
    scrapped_at: datetime | None = None
    wants_wood: bool = False


@dataclass(frozen=True, slots=True)
class About:
    """What the screens say of an instrument beside its serial."""

    model: str
    shape: str
    finish: str
    order: str
    due_on: date


@dataclass(frozen=True, slots=True)
class Bench:
    """One instrument: who it is, its parts, and its open steps in their order.

    ``asks_skill`` says that the shop asks for qualifications somewhere.
    """

    instrument_id: int
    serial: str
    position: int
    route: Route
    parts: tuple[PartNow, ...]
    steps: tuple[StepNow, ...]
    state: InstrumentState = InstrumentState.OPEN
    closed_at: datetime | None = None
    held_at: datetime | None = None
    about: About | None = None
    asks_skill: bool = False

    def part(self, part_id: int) -> PartNow:
        return next(part for part in self.parts if part.id == part_id)

    def part_of(self, branch: Branch) -> PartNow:
        return next(part for part in self.in_use if part.branch is branch)

    @property
    def in_use(self) -> Iterator[PartNow]:
        """Give the parts without those that others are made instead of."""
        return (part for part in self.parts if part.scrapped_at is None)

    def step(self, step_id: int) -> StepNow | None:
        return next((step for step in self.steps if step.id == step_id), None)

    def current(self, part_id: int) -> StepNow | None:
        """Give the first open step of a part, the only one that can be worked on."""
        return next((step for step in self.steps if step.part_id == part_id), None)

    def title(self, step: StepNow) -> str:
        line = self.route.by_id[step.operation_id]
        return (
            f"{line.name} {step.repeat}/{line.times}" if line.times > 1 else line.name
        )

    def blocking(self, step: StepNow) -> Iterator[StepNow]:
        """List the open steps that must be done before ``step``, nearest first."""
        for other in self.steps:
            if other.part_id == step.part_id and other.position < step.position:
                yield other
        for before in self.route.by_id[step.operation_id].after:
            wanted = self.route.by_id[before]
            for other in self.steps:
                line = self.route.by_id[other.operation_id]
                if line.branch is wanted.branch and line.number <= wanted.number:
                    yield other

    def parts_in(self, step: StepNow) -> tuple[PartNow, ...]:
        """List the parts in a step's hands: its own, and in the assembly all joined."""
        line = self.route.by_id[step.operation_id]
        joined = {
            branch
            for other in self.route.lines
            if other.joins is Joins.BRANCHES
            and other.branch is line.branch
            and other.number <= line.number
            for branch in self.route.branches_joined_by(other)
        }
        return tuple(
            part
            for part in self.in_use
            if part.id == step.part_id or part.branch in joined
        )

    def open_before(self, step: StepNow) -> tuple[str, ...]:
        """Name the next step of each branch that is in the way of ``step``."""
        seen: dict[int, str] = {}
        for other in self.blocking(step):
            seen.setdefault(other.part_id, self.title(other))
        return tuple(seen.values())


def comes_before(route: Route, other: StepNow, step: StepNow) -> bool:
    """Say whether ``other`` had to be done before ``step`` could be begun."""
    if other.part_id == step.part_id:
        return other.position < step.position
    line = route.by_id[other.operation_id]
    return any(
        line.branch is route.by_id[before].branch
        and line.number <= route.by_id[before].number
        for before in route.by_id[step.operation_id].after
    )


def pick(
    bench: Bench, part_id: int, *, station_id: int | None, stage_id: int | None
) -> StepNow | None:
    """Choose the step that a scan of a part at a station means.

    The scanned part's own current step; once all of its branch is done, the
    assembly's; of a part that was scrapped none.  The instrument's own tag means
    whatever is due at this station, running work first.
    """
    scanned = bench.part(part_id)
    if scanned.scrapped_at:
        return None
    assembly = bench.part_of(Branch.ASSEMBLY)
    own = bench.current(part_id)
    if scanned.branch is not Branch.ASSEMBLY:
        return own or bench.current(assembly.id)
    here = [
        step
        for part in bench.parts
        if (step := bench.current(part.id))
        and (step.station_id or station_id) == station_id
        and step.stage_id == stage_id
        and step.state is not State.WAITING
    ]
    urgency = (State.RUNNING, State.DWELLING, State.READY)
    return min(here, key=lambda step: urgency.index(step.state), default=own)


@dataclass(frozen=True, slots=True)
class Change:
    """What a move changes: rows to write, and the bench after it."""

    bench: Bench
    steps: tuple[StepNow, ...]
    parts: tuple[PartNow, ...]


def advance(bench: Bench, moved: Iterable[StepNow], at: datetime) -> Change:
    """Put moved steps in place, open what became ready, and say where parts lie."""
    moved = tuple(moved)
    by_id = {step.id: step for step in moved}
    kept = [by_id.pop(step.id, step) for step in bench.steps]
    steps = sorted(
        (step for step in (*kept, *by_id.values()) if step.state in OPEN),
        key=lambda step: (step.part_id, step.position),
    )
    after = settle(replace(bench, steps=tuple(steps)), at)
    changed = {step.id: step for step in moved}
    before = {step.id: step for step in bench.steps}
    changed |= {s.id: s for s in after.steps if before.get(s.id) != s}
    placed = place(after, at)
    parts = tuple(
        new for old, new in zip(bench.parts, placed.parts, strict=True) if old != new
    )
    if not placed.steps and placed.state is InstrumentState.OPEN:
        placed = replace(placed, state=InstrumentState.FINISHED, closed_at=at)
    return Change(placed, tuple(changed.values()), parts)


def settle(bench: Bench, at: datetime) -> Bench:
    """Make each part's first open step READY, or WAITING, as its way stands."""
    steps = []
    wanting = {part.id for part in bench.parts if part.wants_wood}
    for part_id, own in groupby(bench.steps, key=lambda step: step.part_id):
        first, *rest = own
        free = part_id not in wanting and next(bench.blocking(first), None) is None
        if free and first.state is State.WAITING:
            first = replace(first, state=State.READY, ready_at=at)
        elif not free:
            first = _waits(first)
        steps += [first, *(_waits(step) for step in rest)]
    return replace(bench, steps=tuple(steps))


def _waits(step: StepNow) -> StepNow:
    if step.state is not State.READY:
        return step
    return replace(step, state=State.WAITING, ready_at=None)


def place(bench: Bench, at: datetime) -> Bench:
    """Say of each part where the board shows it, and since when."""
    return replace(bench, parts=tuple(_placed(bench, part, at) for part in bench.parts))


def _placed(bench: Bench, part: PartNow, at: datetime) -> PartNow:
    step = None if part.scrapped_at else _shown_at(bench, part)
    if step is None or bench.state is not InstrumentState.OPEN:
        return replace(part, stage_id=None, look=None, since=None)
    look = LOOKS[step.state]
    if bench.held_at or any(each.held_at for each in _in_its_hands(bench, part, step)):
        look = Look.HELD
    if (part.stage_id, part.look) == (step.stage_id, look):
        return part
    return replace(part, stage_id=step.stage_id, look=look, since=at)


def _in_its_hands(bench: Bench, part: PartNow, step: StepNow) -> tuple[PartNow, ...]:
    """List the parts whose hold shows on a part: those built into it and itself."""
    return bench.parts_in(step) if step.part_id == part.id else (part,)


LOOKS = {
    State.WAITING: Look.WAITING,
    State.READY: Look.WAITING,
    State.RUNNING: Look.IN_WORK,
    State.DWELLING: Look.DWELLING,
}


def _shown_at(bench: Bench, part: PartNow) -> StepNow | None:
    """Find the step where a part shows: its own, or the join that it waits for.

    The assembly shows once its first join is begun; before that its body and
    neck show there as waiting.
    """
    own = bench.current(part.id)
    if part.branch is Branch.ASSEMBLY:
        begun = own is not None and (
            own.state in (State.RUNNING, State.DWELLING) or not _is_first(bench, own)
        )
        return own if begun else None
    if own is not None:
        return own
    return next(
        (step for step in bench.steps if _joins(bench, step, part.branch)), None
    )


def _is_first(bench: Bench, step: StepNow) -> bool:
    line = bench.route.by_id[step.operation_id]
    first = next(x for x in bench.route.lines if x.branch is Branch.ASSEMBLY)
    return line.id == first.id and step.repeat == 1 and step.turn == 0


def _joins(bench: Bench, step: StepNow, branch: Branch) -> bool:
    line = bench.route.by_id[step.operation_id]
    return step.state in (State.WAITING, State.READY) and any(
        bench.route.by_id[before].branch is branch for before in line.after
    )
