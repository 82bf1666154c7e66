"""What does the ledger alone say of an instrument?  Pure; used to check the rows."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from travelers.floor.rules.bench import (
    Bench,
    PartNow,
    StepNow,
    advance,
    place,
    settle,
)
from travelers.floor.rules.machine import OPEN, State, Wish
from travelers.floor.rules.swap import Visitor
from travelers.orders.rules import InstrumentState

NOBODY: Mapping[int, Visitor] = {}
Holds = dict[str, tuple[int | None, datetime]]


@dataclass(frozen=True, slots=True)
class Told:
    """An accepted event, as far as it moves anything."""

    event_id: str
    kind: Wish
    part_id: int | None
    step_id: int | None
    station_id: int | None
    happened_at: datetime
    data: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Folded:
    """Where the ledger leaves an instrument: its bench, closed steps and holds."""

    bench: Bench
    closed: Mapping[int, StepNow]
    holds: Mapping[str, int | None]


def fold(
    fresh: Bench,
    events: Iterable[Told],
    released_at: datetime,
    visitors: Mapping[int, Visitor] = NOBODY,
) -> Folded:
    """Compute an instrument's state from its route copy and its accepted events.

    ``fresh`` holds every step of the parts that it was released with, all WAITING, and
    of those that were made in the stead of others; these come into play at their event,
    as the steps do that a rework added, ``visitors`` with the swap that brought them.
    What was taken back is left out, as if it had never been.
    """
    events = standing(events)
    added = {step for told in events for step in added_by(told.data)}
    made = {told.data["made"]["part"] for told in events if "made" in told.data}
    instead = {part.id: part for part in fresh.parts if part.id in made}
    came = [step for visitor in visitors.values() for step in visitor.steps.values()]
    later = {step.id: step for step in (*fresh.steps, *came) if step.id in added}
    bench = replace(
        fresh,
        parts=tuple(part for part in fresh.parts if part.id not in made),
        steps=tuple(s for s in fresh.steps if not s.turn and s.id not in added),
    )
    bench = place(settle(bench, released_at), released_at)
    closed: dict[int, StepNow] = {}
    holds: Holds = {}
    for told in events:
        if told.kind is Wish.SWAP:
            came_in = visitors[told.data["incoming"]["part"]]
            bench = exchanged(bench, told.data, came_in)
            closed = _without_part(closed, told.data["outgoing"]["part"])
            closed |= came_in.as_told(told.data["incoming"]).closed_steps
        if told.kind is Wish.REPLACE:
            new = instead[told.data["made"]["part"]]
            bench = replaced(bench, told.data["made"], new, told.happened_at)
        elif told.kind is Wish.WOOD:
            bench = with_wood(bench, told.part_id)
        _note_hold(holds, told)
        bench = _with_holds(bench, holds)
        if told.kind is Wish.SCRAP:
            bench = replace(
                bench, state=InstrumentState.SCRAPPED, closed_at=told.happened_at
            )
        change = advance(bench, moves_of(bench, later, told), told.happened_at)
        closed |= {step.id: step for step in change.steps if step.state not in OPEN}
        bench = change.bench
    return Folded(bench, closed, {key: part for key, (part, _) in holds.items()})


def standing(events: Iterable[Told]) -> tuple[Told, ...]:
    """Leave out the events that were taken back."""
    events = tuple(events)
    gone = {told.data["event"] for told in events if told.kind is Wish.UNDO}
    return tuple(told for told in events if told.event_id not in gone)


def added_by(data: Mapping[str, Any]) -> tuple[int, ...]:
    """List the steps that an event puts into an instrument's way."""
    return (*data.get("added", ()), *data.get("made", {}).get("steps", ()))


def replaced(
    bench: Bench, made: Mapping[str, Any], new: PartNow, at: datetime
) -> Bench:
    """Close a part and lay another beside it, which may want wood before it begins."""
    new = replace(new, scrapped_at=None, wants_wood=made["wants_wood"])
    old = (
        replace(part, scrapped_at=at) if part.id == made["instead_of"] else part
        for part in bench.parts
    )
    parts = sorted((*old, new), key=lambda part: part.id)
    return replace(bench, parts=tuple(parts))


def with_wood(bench: Bench, part_id: int | None) -> Bench:
    """Say that a part has the wood that it wanted."""
    return replace(
        bench,
        parts=tuple(
            replace(part, wants_wood=False) if part.id == part_id else part
            for part in bench.parts
        ),
    )


def exchanged(bench: Bench, told: Mapping[str, Any], visitor: Visitor) -> Bench:
    """Take one part off the bench with its steps, and lay another down as it stood."""
    gone, came = told["outgoing"]["part"], visitor.as_told(told["incoming"])
    parts = (*(part for part in bench.parts if part.id != gone), came.part)
    steps = (*(step for step in bench.steps if step.part_id != gone), *came.open_steps)
    return replace(
        bench,
        parts=tuple(sorted(parts, key=lambda part: part.id)),
        steps=tuple(sorted(steps, key=lambda step: (step.part_id, step.position))),
    )


def _without_part(closed: Mapping[int, StepNow], gone: int) -> dict[int, StepNow]:
    return {key: step for key, step in closed.items() if step.part_id != gone}


def _note_hold(holds: Holds, told: Told) -> None:
    if told.kind is Wish.SWAP:
        gone, came = told.data["outgoing"]["part"], told.data["incoming"]
        for key in [key for key, (part, _) in holds.items() if part == gone]:
            del holds[key]
        for hold in came["holds"]:
            if hold["lifted"] is None:
                at = datetime.fromisoformat(hold["at"])
                holds[hold["event"]] = (came["part"], at)
    elif told.kind is Wish.HOLD:
        holds[told.event_id] = (told.data["part"], told.happened_at)
    elif told.kind is Wish.LIFT:
        holds.pop(told.data["hold"], None)


def _with_holds(
    bench: Bench, holds: Mapping[str, tuple[int | None, datetime]]
) -> Bench:
    def oldest(scope: int | None) -> datetime | None:
        return min((at for part, at in holds.values() if part == scope), default=None)

    parts = tuple(replace(part, held_at=oldest(part.id)) for part in bench.parts)
    return replace(bench, parts=parts, held_at=oldest(None))


def moves_of(bench: Bench, later: Mapping[int, StepNow], told: Told) -> list[StepNow]:
    """List the steps that an accepted event moves, drops or adds."""
    void = [
        replace(step, state=State.VOID)
        for step in bench.steps
        if step.id in told.data.get("void", ())
    ]
    new = [later[step_id] for step_id in added_by(told.data)]
    if "state" not in told.data or told.step_id is None:
        return [*void, *new]
    step = bench.step(told.step_id)
    return [*void, *new, *([] if step is None else [_moved(step, told)])]


def _moved(step: StepNow, told: Told) -> StepNow:
    state = State(told.data["state"])
    if state is step.state:
        return step
    if state is State.VOID:
        return replace(step, state=state)
    until = told.data.get("dwell_until")
    return replace(
        step,
        state=state,
        started_at=step.started_at or told.happened_at,
        dwell_until=datetime.fromisoformat(until) if until else step.dwell_until,
        finished_at=told.happened_at if state is State.DONE else None,
        at_station_id=told.station_id or step.at_station_id,
    )
