"""When may two parts change places, and what does the ledger tell of it?  Pure.

A part that goes over takes along what it is: its steps, done and open, its holds and
where it lies.  All that stands in the event of the instrument that it comes to, so
that each instrument's ledger can be read alone.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from travelers.floor.rules import anew, reasons
from travelers.floor.rules.bench import PART_PLACE, STEP_MOVES, PartNow, StepNow
from travelers.floor.rules.machine import IN_HAND, OPEN, State
from travelers.kit.refusals import Refusal
from travelers.orders.rules import InstrumentState, Look
from travelers.routes.rules import Branch, Route

MOMENTS = frozenset(
    {"ready_at", "started_at", "dwell_until", "finished_at", "since", "held_at"}
)


@dataclass(frozen=True, slots=True)
class HoldTold:
    """A hold on a part; ``lifted`` is the number of the event that lifted it."""

    event_id: str
    seq: int
    at: datetime
    reason: str
    lifted: int | None

    def told(self) -> dict[str, Any]:
        return {
            "event": self.event_id,
            "seq": self.seq,
            "at": self.at.astimezone(UTC).isoformat(),
            "reason": self.reason,
            "lifted": self.lifted,
        }


@dataclass(frozen=True, slots=True)
class Visitor:
    """A part that a swap brings in, with all its steps, whatever became of them."""

    part: PartNow
    steps: Mapping[int, StepNow]

    def as_told(self, told: Mapping[str, Any]) -> "Visitor":
        """Give the part and the steps that it had then, as an event tells them."""
        part = replace(self.part, **_moved(told, PART_PLACE))
        steps = (
            replace(self.steps[row["id"]], **_moved(row, STEP_MOVES))
            for row in told["steps"]
        )
        return Visitor(part, {step.id: step for step in steps})

    @property
    def open_steps(self) -> tuple[StepNow, ...]:
        return tuple(step for step in self.steps.values() if step.state in OPEN)

    @property
    def closed_steps(self) -> dict[int, StepNow]:
        return {s.id: s for s in self.steps.values() if s.state not in OPEN}


def standing_of(
    part: PartNow, steps: Iterable[StepNow], holds: Iterable[HoldTold]
) -> dict[str, Any]:
    """Tell how a part stands, in the words of an event."""
    return {
        "part": part.id,
        "code": part.code,
        **_told(part, PART_PLACE),
        "steps": [
            {"id": step.id, **_told(step, STEP_MOVES)}
            for step in sorted(steps, key=lambda step: step.position)
        ],
        "holds": [hold.told() for hold in holds],
    }


def _told(row: object, columns: Iterable[str]) -> dict[str, Any]:
    return {name: _plain(getattr(row, name)) for name in columns}


def _plain(value: Any) -> Any:
    return value.astimezone(UTC).isoformat() if isinstance(value, datetime) else value


def _moved(told: Mapping[str, Any], columns: Iterable[str]) -> dict[str, Any]:
    read = {name: told[name] for name in columns}
    for name in MOMENTS & read.keys():
        read[name] = datetime.fromisoformat(read[name]) if read[name] else None
    if "state" in read:
        read["state"] = State(read["state"])
    if read.get("look"):
        read["look"] = Look(read["look"])
    return read


class OutOfTurn(ValueError):
    """A swap takes out a part that is not there, or leaves one that is not here."""


def released_with(
    now: Iterable[int], swaps: Sequence[Mapping[str, Any]]
) -> frozenset[int]:
    """Walk the swaps of an instrument back, to the parts that it was released with.

    Raises
    ------
    OutOfTurn
        The parts of now are not those that the swaps leave here.
    """
    parts = set(now)
    for told in reversed(swaps):
        came, went = told["incoming"]["part"], told["outgoing"]["part"]
        if came not in parts or went in parts:
            raise OutOfTurn(came)
        parts = parts - {came} | {went}
    return frozenset(parts)


@dataclass(frozen=True, slots=True)
class Side:
    """One of two instruments, and its part that shall go over.

    ``steps`` are all of the instrument's parts in use, done and open; ``options`` is
    what was ordered of it that may show on the part.
    """

    serial: str
    part: PartNow
    route: Route
    model: str
    revision: str
    options: str
    state: InstrumentState
    closed_at: datetime | None
    steps: tuple[StepNow, ...]

    @property
    def route_name(self) -> str:
        return f"{self.model} {self.revision}"

    def closed(self) -> Refusal | None:
        if self.state is InstrumentState.OPEN:
            return None
        return reasons.CLOSED.about(
            serial=self.serial,
            closed_at=self.closed_at.isoformat() if self.closed_at else "",
            how_word=self.state,
        )

    def in_hand(self) -> Refusal | None:
        """Say which of the part's steps is in work, or where it lies."""
        for step in self.steps:
            if step.part_id == self.part.id and step.state in IN_HAND:
                return IN_HAND[step.state].about(
                    operation=self.title(step), serial=self.serial
                )
        return None

    def joined(self) -> Refusal | None:
        """Say what was begun with both the part and another one of the instrument.

        What waits for another branch is begun on the strength of it, be it a join,
        or a neck that is fitted to its body.
        """
        for step in self.steps:
            if step.started_at is None:
                continue
            line = self.route.by_id[step.operation_id]
            others = {self.route.by_id[n].branch for n in line.after} - {line.branch}
            if others and self.part.branch in {line.branch, *others}:
                return reasons.SWAP_JOINED.about(
                    operation=self.title(step),
                    serial=self.serial,
                    code=self.part.code,
                )
        return None

    def title(self, step: StepNow) -> str:
        line = self.route.by_id[step.operation_id]
        return f"{line.name} {step.repeat}" if line.times > 1 else line.name


def why_apart(mine: Side, other: Side) -> Refusal | None:
    """Say why two parts cannot change places, nearest first."""
    in_the_way = (
        *_unlike_parts(mine, other),
        mine.closed(),
        other.closed(),
        *_unlike_orders(mine, other),
        mine.joined(),
        other.joined(),
        mine.in_hand(),
        other.in_hand(),
    )
    return next(filter(None, in_the_way), None)


def _unlike_parts(mine: Side, other: Side) -> Iterator[Refusal]:
    if mine.part.branch is Branch.ASSEMBLY:
        yield reasons.SWAP_ASSEMBLY.about(serial=mine.serial)
    if mine.serial == other.serial:
        yield reasons.SWAP_SAME.about(code=other.part.code, serial=mine.serial)
    if mine.part.branch is not other.part.branch:
        yield reasons.SWAP_OTHER_BRANCH.about(
            serial=mine.serial,
            other=other.serial,
            code=other.part.code,
            other_word=str(other.part.branch),
            branch_word=str(mine.part.branch),
        )
    for side in (mine, other):
        if side.part.wants_wood:
            yield anew.WANTS_WOOD.about(serial=side.serial)


def _unlike_orders(mine: Side, other: Side) -> Iterator[Refusal]:
    both = {"serial": mine.serial, "other": other.serial}
    if mine.route.revision_id != other.route.revision_id:
        yield reasons.SWAP_OTHER_ROUTE.about(
            **both, route=mine.route_name, other_route=other.route_name
        )
    if mine.options != other.options:
        yield reasons.SWAP_OTHER_OPTIONS.about(
            **both, finish=mine.options, other_finish=other.options
        )


def why_not(
    mine: Side, other: Side, *, shown: tuple[str, str], reason: str
) -> Refusal | None:
    """Say why two parts are not swapped by this word of QA.

    ``shown`` are the serials that QA saw them in: sent twice, the second word would
    take the first one back.
    """
    for side, serial in zip((mine, other), shown, strict=True):
        if side.serial != serial:
            return reasons.SWAP_OUTDATED.about(
                code=side.part.code, serial=side.serial, shown=serial
            )
    if no := why_apart(mine, other):
        return no
    return None if reason.strip() else reasons.REASON_MISSING
