"""What does a line of a traveler ask for, and what does it then say?  Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from travelers.floor.rules import State, Wish
from travelers.kit.refusals import Refusal
from travelers.routes.rules import Branch, Line, OperationKind

# Where the place of a defect was not drawn: the middle of the outline.
MIDDLE = "0.5"
# What may name the batches that it was done with.
WITH_BATCHES = frozenset({Wish.START, Wish.FINISH})


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing that the paper says was done; ``order`` is its place in the route."""

    step_id: int
    branch: Branch
    order: tuple[int, int]
    wish: Wish
    at: datetime
    person_id: int
    station: str
    said: Mapping[str, Any] = field(default_factory=dict)

    @property
    def mate_or_serial(self) -> str:
        """Give the code or number by which one of several on a line is known."""
        return str(self.said.get("mate") or self.said.get("serial") or "")

    def event_id(self, sheet_id: UUID) -> UUID:
        """Number the deed by the sheet that it was typed into, the same each time."""
        return uuid5(sheet_id, f"{self.step_id} {self.wish} {self.mate_or_serial}")


@dataclass(frozen=True, slots=True)
class Told:
    """What became of a deed; one that waits was not sent, for one before it failed."""

    deed: Deed
    refusal: Refusal | None = None
    waits: bool = False

    @property
    def stored(self) -> bool:
        return not self.waits and self.refusal is None


def asked_of(line: Line) -> tuple[Wish, ...]:
    """List what a line asks for: begun and done, and where the part lies, when out."""
    if line.kind is OperationKind.HOLD:
        return (Wish.LOAD, Wish.TAKE_OUT)
    if line.shortest_dwell:
        return (Wish.START, Wish.FINISH, Wish.TAKE_OUT)
    return (Wish.START, Wish.FINISH)


def closing(line: Line) -> Wish:
    """Say at which of them the checks and mates of a line are noted."""
    return Wish.TAKE_OUT if line.kind is OperationKind.HOLD else Wish.FINISH


def still_asked(line: Line, state: State) -> tuple[Wish, ...]:
    """List what is not on record yet of a step in its state."""
    asked = asked_of(line)
    if state is State.RUNNING:
        return asked[1:]
    return asked[-1:] if state is State.DWELLING else asked
