"""At which stage was a part when, by the times of its steps?  Pure.

It is where the board shows it: at its first open step; once all its own are closed, at
the join that waits for it; and the assembly from when its first join was begun.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from travelers.routes.rules import Branch


@dataclass(frozen=True, slots=True)
class StepTimes:
    """When a step came on its part's way, was begun, and was done or dropped.

    ``added_at`` is of rework; other steps came with the part.  ``joins`` are the
    branches that it waits for; ``is_first`` says that an assembly whose turn it is has
    not begun.
    """

    stage_id: int
    added_at: datetime | None
    began_at: datetime | None
    closed_at: datetime | None
    joins: frozenset[Branch] = frozenset()
    is_first: bool = False

    def is_open(self, at: datetime) -> bool:
        if self.added_at and at < self.added_at:
            return False
        return self.closed_at is None or at < self.closed_at

    def waits(self, at: datetime) -> bool:
        """Say whether it was open and nobody had begun it."""
        return self.is_open(at) and (self.began_at is None or at < self.began_at)

    @property
    def moments(self) -> Iterator[datetime]:
        times = (self.added_at, self.began_at, self.closed_at)
        return (at for at in times if at is not None)


@dataclass(frozen=True, slots=True)
class PartTimes:
    """A part, since when it is on the floor, and its steps in their order.

    ``scrapped_at`` is when it left the floor alone, and another came in its stead.
    """

    id: int
    branch: Branch
    entered_at: datetime
    steps: tuple[StepTimes, ...]
    scrapped_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Visit:
    """One part's time at one stage; ``until`` is None where it still is there.

    ``is_new`` says that it came from off the floor, ``is_last`` that it left it.
    """

    part_id: int
    branch: Branch | None
    stage_id: int
    since: datetime
    until: datetime | None
    is_new: bool = True
    is_last: bool = True


def visits_of(parts: Sequence[PartTimes], closed_at: datetime | None) -> list[Visit]:
    """List the visits of an instrument's parts, part by part, oldest first.

    ``closed_at`` is when the instrument was finished or scrapped.
    """
    joins = [step for part in parts for step in part.steps if step.joins]
    found = []
    for part in parts:
        waits = [step for step in joins if part.branch in step.joins]
        gone_at = part.scrapped_at or closed_at
        found += _named(part, list(_stages(part, waits, gone_at)))
    return found


def whole(visits: Iterable[Visit]) -> list[Visit]:
    """Give the visits of an instrument as one thing: its body's, then its assembly's.

    The branch of these is None.
    """
    visits = list(visits)
    assembly = [one for one in visits if one.branch is Branch.ASSEMBLY]
    begun = min((one.since for one in assembly), default=None)
    body = [
        replace(one, until=begun if _is_after(one.until, begun) else one.until)
        for one in visits
        if one.branch is Branch.BODY and (begun is None or one.since < begun)
    ]
    return _linked([replace(one, branch=None) for one in (*body, *assembly)])


def _is_after(until: datetime | None, begun: datetime | None) -> bool:
    return begun is not None and (until is None or until > begun)


def _stages(
    part: PartTimes, waits: Sequence[StepTimes], closed_at: datetime | None
) -> Iterator[tuple[datetime, int | None]]:
    """Say from which moment on a part was at which stage; None is off the floor."""
    moments = {at for step in (*part.steps, *waits) for at in step.moments}
    moments = {at for at in moments if at > part.entered_at} | {part.entered_at}
    if closed_at:
        moments = {at for at in moments if at < closed_at} | {closed_at}
    done = 0
    for at in sorted(moments):
        while done < len(part.steps) and _is_over(part.steps[done], at):
            done += 1
        if closed_at and at >= closed_at:
            yield at, None
        else:
            yield at, _stage(part, done, waits, at)


def _is_over(step: StepTimes, at: datetime) -> bool:
    return step.closed_at is not None and step.closed_at <= at


def _stage(
    part: PartTimes, done: int, waits: Sequence[StepTimes], at: datetime
) -> int | None:
    own = next((step for step in part.steps[done:] if step.is_open(at)), None)
    if part.branch is Branch.ASSEMBLY:
        waiting = own is None or (own.is_first and own.waits(at))
        return None if own is None or waiting else own.stage_id
    if own is None:
        own = next((step for step in waits if step.waits(at)), None)
    return own.stage_id if own else None


def _named(
    part: PartTimes, stages: Sequence[tuple[datetime, int | None]]
) -> list[Visit]:
    """Make visits of the moments at which a part's stage changed."""
    changed: list[tuple[datetime, int | None]] = []
    for at, stage in stages:
        if stage != (changed[-1][1] if changed else None):
            changed.append((at, stage))
    ends = [*(at for at, _ in changed[1:]), None]
    return _linked(
        [
            Visit(part.id, part.branch, stage, since, until)
            for (since, stage), until in zip(changed, ends, strict=False)
            if stage is not None
        ]
    )


def _linked(visits: Sequence[Visit]) -> list[Visit]:
    """Say of each visit whether another ended as it began, or begins as it ends."""
    starts = {one.since for one in visits}
    ends = {one.until for one in visits}
    linked = [
        replace(
            one,
            is_new=one.since not in ends,
            is_last=one.until is not None and one.until not in starts,
        )
        for one in visits
    ]
    return _without_breaks(linked)


def _without_breaks(visits: Sequence[Visit]) -> list[Visit]:
    """Make one of two visits to one stage without a time between: nothing moved."""
    found: list[Visit] = []
    for one in visits:
        last = found[-1] if found else None
        if last and last.until == one.since and last.stage_id == one.stage_id:
            found[-1] = replace(last, until=one.until, is_last=one.is_last)
        else:
            found.append(one)
    return found
