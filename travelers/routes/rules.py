"""Which kinds of operations and checks are there, and when may a route change?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from enum import StrEnum
from itertools import pairwise
from string import ascii_uppercase
from typing import Protocol, TypeVar

from travelers.formulas import graph
from travelers.kit.refusals import Refusal, gettext_noop, refusal


class Branch(StrEnum):
    """The parts that travel apart; all meet in the assembly."""

    BODY = "BODY"
    NECK = "NECK"
    ELECTRONICS = "ELECTRONICS"
    ASSEMBLY = "ASSEMBLY"


class OperationKind(StrEnum):
    WORK = "WORK"
    HOLD = "HOLD"
    INSPECT = "INSPECT"
    JOIN = "JOIN"


class Joins(StrEnum):
    """What a join scans: nothing, the pieces of the plank set, or branch tags."""

    NOTHING = "NOTHING"
    PIECES = "PIECES"
    BRANCHES = "BRANCHES"


class CheckKind(StrEnum):
    MEASURED = "MEASURED"
    COUNTED = "COUNTED"
    JUDGED = "JUDGED"


class RevisionState(StrEnum):
    DRAFT = "DRAFT"
    RELEASED = "RELEASED"
    RETIRED = "RETIRED"


class Traced(StrEnum):
    """How it is known afterwards of which material something was made."""

    BATCH = "BATCH"
    SERIAL = "SERIAL"


class OfABranch(Protocol):
    branch: str


Branched = TypeVar("Branched", bound=OfABranch)


class Usual(StrEnum):
    """What is usually decided of a defect."""

    USE_AS_IS = "USE_AS_IS"
    REWORK = "REWORK"
    DOWNGRADE = "DOWNGRADE"
    SCRAP = "SCRAP"


NOT_A_DRAFT = refusal(
    "routes.not_a_draft",
    gettext_noop("Revision {revision} is released and does not change any more."),
    gettext_noop("Make a new revision and change that one."),
)
BRANCH_MISSING = refusal(
    "routes.branch_missing",
    gettext_noop("Revision {revision} has no operation in its {branch_word} branch."),
    gettext_noop("Add the operations of that branch, then release it."),
    status=422,
)
ROUTE_TURNS_BACK = refusal(
    "routes.route_turns_back",
    gettext_noop("The operations of revision {revision} wait for each other: {round}."),
    gettext_noop("Take one of these precedences out, then release it."),
    status=422,
)
JOIN_WITHOUT_MATES = refusal(
    "routes.join_without_mates",
    gettext_noop("Operation {operation} joins branches but waits for none."),
    gettext_noop("Say after which operations of the other branches it comes."),
    status=422,
)
WAITS_FOR_STRANGER = refusal(
    "routes.waits_for_stranger",
    gettext_noop("Operation {operation} waits for one of another revision."),
    gettext_noop("Let it wait for an operation of its own revision, then release it."),
    status=422,
)
USES_WHILE_IT_LIES = refusal(
    "routes.uses_while_it_lies",
    gettext_noop("Operation {operation} only lies and cannot use {material}."),
    gettext_noop("Let the operation use it whose work it is, then release it."),
    status=422,
)
DRAFT_OPEN = refusal(
    "routes.draft_open",
    gettext_noop("{model} has a draft already: revision {revision}."),
    gettext_noop("Change that draft, or delete it first."),
)


@dataclass(frozen=True, slots=True)
class Check:
    """A characteristic as the bench needs it."""

    id: int
    code: str
    name: str
    kind: CheckKind
    unit: str
    nominal: Decimal | None
    lower: Decimal | None
    upper: Decimal | None
    decimals: int
    places: int
    place_name: str
    every_nth: int
    gauge_kind: str

    def is_due_for(self, position: int) -> bool:
        """Say whether the instrument at ``position`` of its order is checked."""
        return (position - 1) % self.every_nth == 0


@dataclass(frozen=True, slots=True)
class Hazard:
    sign: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Need:
    """A material that an operation uses; ``pieces`` says how many serial numbers."""

    id: int
    material_id: int
    material: str
    traced: Traced
    pieces: int = 1


@dataclass(frozen=True, slots=True)
class Line:
    """An operation of a released route; never changes, so it may be kept in memory."""

    id: int
    branch: Branch
    number: int
    name: str
    kind: OperationKind
    joins: Joins
    planned: timedelta
    shortest_dwell: timedelta
    longest_gap: timedelta | None
    times: int
    shortest_between: timedelta | None
    longest_between: timedelta | None
    instruction: str
    picture: str
    after: tuple[int, ...]
    checks: tuple[Check, ...]
    hazards: tuple[Hazard, ...]
    needs: tuple[Need, ...] = ()

    @property
    def batches(self) -> tuple[Need, ...]:
        """List what is used of a batch."""
        return tuple(need for need in self.needs if need.traced is Traced.BATCH)

    @property
    def serials(self) -> tuple[Need, ...]:
        """List what is built in piece by piece, each with its serial number."""
        return tuple(need for need in self.needs if need.traced is Traced.SERIAL)


@dataclass(frozen=True, slots=True)
class Route:
    """All lines of a revision, by branch and number."""

    revision_id: int
    lines: tuple[Line, ...]
    by_id: Mapping[int, Line]

    @classmethod
    def of(cls, revision_id: int, lines: Iterable[Line]) -> "Route":
        ordered = tuple(
            sorted(lines, key=lambda line: (ORDER[line.branch], line.number))
        )
        return cls(revision_id, ordered, {line.id: line for line in ordered})

    def branches_joined_by(self, line: Line) -> tuple[Branch, ...]:
        joined = {self.by_id[before].branch for before in line.after}
        return tuple(branch for branch in Branch if branch in joined)

    def shortest_lead(self) -> timedelta:
        """Say how long the longest path takes at the least: work, dwells and gaps."""
        return self.longest_path()[0]

    def longest_path(self) -> tuple[timedelta, tuple[int, ...]]:
        """Say the shortest lead time, and the lines that make it as long as it is."""
        durations = {line.id: shortest(line).total_seconds() for line in self.lines}
        length, path = graph.longest_path(durations, self.precedences())
        return timedelta(seconds=length), tuple(path)

    def precedences(self) -> tuple[tuple[int, int], ...]:
        within = [
            (before.id, after.id)
            for before, after in pairwise(self.lines)
            if before.branch == after.branch
        ]
        across = [(before, line.id) for line in self.lines for before in line.after]
        return (*within, *across)


ORDER = {branch: position for position, branch in enumerate(Branch)}


def in_branch_order(parts: Iterable[Branched]) -> list[Branched]:
    """Order parts as people name them: body, neck, electronics, assembly.

    Their numbers do not, once a part came from another instrument.
    """
    return sorted(parts, key=lambda part: ORDER[Branch(part.branch)])


def shortest(line: Line) -> timedelta:
    """Say the least time from the start of a line's first turn to its last end."""
    once = line.planned + line.shortest_dwell
    between = max(line.shortest_between or timedelta(0), timedelta(0))
    return once * line.times + between * (line.times - 1)


def unsound(route: Route, name: str) -> Refusal | None:
    """Say why a route could never be worked through; ``name`` is its revision's."""
    present = {line.branch for line in route.lines}
    for branch in Branch:
        if branch not in present:
            return BRANCH_MISSING.about(revision=name, branch_word=str(branch))
    if fault := next(
        filter(None, (_unsound(route, line) for line in route.lines)), None
    ):
        return fault
    try:
        route.longest_path()
    except graph.Ring as ring:
        names = [route.by_id[n].name for n in ring.nodes if isinstance(n, int)]
        return ROUTE_TURNS_BACK.about(revision=name, round=" → ".join(names))
    return None


def _unsound(route: Route, line: Line) -> Refusal | None:
    if line.joins is Joins.BRANCHES and not line.after:
        return JOIN_WITHOUT_MATES.about(operation=line.name)
    if any(before not in route.by_id for before in line.after):
        return WAITS_FOR_STRANGER.about(operation=line.name)
    if line.needs and line.kind is OperationKind.HOLD:
        used = line.needs[0].material
        return USES_WHILE_IT_LIES.about(operation=line.name, material=used)
    return None


def next_number(taken: Iterable[str]) -> str:
    """Give the next letter of a model's revisions: A … Z, then A2 … Z2 and so on."""
    used = set(taken)
    rounds = ("", *range(2, 100))
    numbers = (f"{letter}{turn}" for turn in rounds for letter in ascii_uppercase)
    return next(number for number in numbers if number not in used)
