"""Why is an instrument not finished sooner, in words of the floor?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from travelers.formulas import forecast as fc
from travelers.orders.rules import StepState
from travelers.planning.queries.drying import Outlook
from travelers.planning.queries.forecast.line import FloorNow
from travelers.planning.queries.forecast.open_steps import Built, Chunk, Row
from travelers.routes.rules import Branch


class Because(StrEnum):
    """What the part that takes longest is waiting for now."""

    HELD = "HELD"
    DRIES = "DRIES"
    LIES = "LIES"
    MATE = "MATE"
    QUEUE = "QUEUE"
    RESTS = "RESTS"
    WORK = "WORK"


@dataclass(frozen=True, slots=True)
class Reason:
    """What the part that takes longest waits for; ``until`` is an ISO 8601 moment.

    ``before`` counts those that wait at its station and are due sooner; ``mate`` is a
    part that is done and waits for this one.  The seconds say where the time until the
    finish goes: at work or waiting for somebody, for places, closed hours, lying.
    """

    because: Because
    branch: Branch
    station: str
    operation: str
    until: str = ""
    before: int = 0
    mate: str = ""
    work_s: float = 0.0
    queue_s: float = 0.0
    closed_s: float = 0.0
    lies_s: float = 0.0


def reasons(*, floor: FloorNow, futures: fc.Futures) -> Mapping[str, Reason]:
    """Say for each instrument what holds its longest part up now."""
    left = {job.name: _left_s(job) for job in floor.line.jobs}
    ways = futures.ways()
    waiting = _waiting(floor)
    found = {}
    for one in floor.built:
        chunk = _longest(one, left)
        row = chunk.current
        because, until = _because(one, row, floor)
        spent = ways[one.serial]
        ahead = waiting.get(row.station.code, ())
        found[one.serial] = Reason(
            because,
            chunk.branch,
            row.station.name,
            row.line.name,
            until.isoformat() if until else "",
            sum(due < (one.due_on, one.id) for due in ahead),
            _mate(one, chunk),
            spent.work_s,
            spent.station_s,
            spent.closed_s,
            spent.dwell_s + spent.held_back_s,
        )
    return found


def _left_s(job: fc.Job) -> float:
    return sum(step.work.mean_s + step.dwell.mean_s for step in job.steps[job.done :])


def _longest(one: Built, left: Mapping[str, float]) -> Chunk:
    """Find the open stretch with the most to do until it joins others.

    What waits for others is what is left behind them: the stretches that wait for
    nobody are asked.
    """
    open_ones = {chunk.key: chunk for chunk in one.chunks if not chunk.is_done}
    first = [
        chunk
        for chunk in open_ones.values()
        if not any(key in open_ones for key in chunk.joins)
    ]
    return max(first, key=lambda chunk: left[_name(one, chunk)])


def _name(one: Built, chunk: Chunk) -> str:
    return f"{one.serial} {chunk.branch} {chunk.number}"


def _mate(one: Built, chunk: Chunk) -> str:
    """Name a part that is done and is joined with this one or what comes of it."""
    still = {other.branch for other in one.chunks if not other.is_done}
    done = [other.branch for other in one.chunks if other.branch not in still]
    begun = any(other.branch is Branch.ASSEMBLY and other.done for other in one.chunks)
    return str(done[0]) if done and not begun else ""


def _because(one: Built, row: Row, floor: FloorNow) -> tuple[Because, datetime | None]:
    if row.part_id in one.held:
        return Because.HELD, one.held[row.part_id]
    if row.state is StepState.RUNNING:
        return Because.WORK, row.started_at
    if row.state is StepState.DWELLING:
        return _lies(row, floor)
    return _waits(row, floor)


def _lies(row: Row, floor: FloorNow) -> tuple[Because, datetime | None]:
    own = floor.drying.get(row.id)
    if own and own.outlook is Outlook.WILL_BE:
        return Because.DRIES, own.expected_at
    return Because.LIES, row.dwell_until


def _waits(row: Row, floor: FloorNow) -> tuple[Because, datetime | None]:
    if row.ready_at is None:
        return Because.MATE, None
    rests = row.line.shortest_between if row.repeat > 1 else None
    if rests and row.ready_at + rests > floor.at:
        return Because.RESTS, row.ready_at + rests
    return Because.QUEUE, row.ready_at


def _waiting(floor: FloorNow) -> Mapping[str, list[tuple[object, int]]]:
    """List when what waits at each station is due."""
    found: dict[str, list[tuple[object, int]]] = {}
    for one in floor.built:
        for chunk in one.chunks:
            if not chunk.is_done and chunk.current.state is StepState.READY:
                due = found.setdefault(chunk.current.station.code, [])
                due.append((one.due_on, one.id))
    return found
