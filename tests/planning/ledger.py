"""How many lay where on each day, by the events of the ledger alone?

Of the rows only what a release copies is read: which steps a part has, in which order
and at which stage. What became of them is heard from the events that stand, in the
order in which they happened; at each moment of one of them every part is looked for
anew. No time that a step row carries and no kept count is read.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from travelers.floor.models import Event
from travelers.orders.models import Instrument, Part, Step
from travelers.planning.models import DayCount
from travelers.routes.models import Precedence

# Day, stage, branch or nothing for whole instruments.
Key = tuple[date, int, str]
# Came, entered, went, left, lay.
Numbers = tuple[int, int, int, int, int]
Timeline = dict[datetime, int | None]


def kept() -> dict[Key, Numbers]:
    """Read what is kept."""
    return {
        (row.day, row.stage_id, row.branch): (
            row.came, row.entered, row.went, row.left, row.lay,
        )
        for row in DayCount.objects.all()
    }  # fmt: skip


def differ(one: dict[Key, Numbers], other: dict[Key, Numbers]) -> list[str]:
    """Say where two counts are not the same, and what each of them has there."""
    return [
        f"{key[0]} {key[1]} {key[2]}: {one.get(key)}, not {other.get(key)}"
        for key in sorted(one.keys() | other.keys())
        if one.get(key) != other.get(key)
    ]


def recount(*, last: date, zone: ZoneInfo) -> dict[Key, Numbers]:
    """Count each day up to the last from the ledger."""
    numbers: dict[Key, list[int]] = defaultdict(lambda: [0] * 5)
    for (branch, _), timeline in timelines().items():
        moves = sorted(timeline.items())
        days = {at: at.astimezone(zone).date() for at, _ in moves}
        before: int | None = None
        for at, stage in moves:
            if stage == before or days[at] > last:
                continue
            if stage is not None:
                numbers[days[at], stage, branch][0] += 1
                numbers[days[at], stage, branch][1] += before is None
            if before is not None:
                numbers[days[at], before, branch][2] += 1
                numbers[days[at], before, branch][3] += stage is None
            before = stage
        for day, stage in _ends(moves, days, last):
            numbers[day, stage, branch][4] += 1
    return {key: tuple(found) for key, found in numbers.items()}  # type: ignore[misc]


def _ends(
    moves: list[tuple[datetime, int | None]],
    days: dict[datetime, date],
    last: date,
) -> Iterator[tuple[date, int]]:
    """Say where a part was as each day ended."""
    ends = [*(days[until] for until, _ in moves[1:]), last + timedelta(days=1)]
    for (at, stage), end in zip(moves, ends, strict=True):
        day = days[at]
        while day < end and day <= last:
            if stage is not None:
                yield day, stage
            day += timedelta(days=1)


@dataclass(frozen=True)
class Told:
    """What an event says that moves something."""

    at: datetime
    instrument: int
    step: int
    data: dict[str, Any]
    kind: str
    part: int
    event: str


class Ledger:
    """The events that stand, and the steps that they are about."""

    def __init__(self) -> None:
        rows = Event.objects.filter(accepted=True).order_by("happened_at", "seq")
        undone = {row.corrects_id for row in rows}
        self.told = [
            Told(
                row.happened_at,
                row.instrument_id,
                row.step_id,
                row.data,
                row.kind,
                row.part_id,
                str(row.event_id),
            )
            for row in rows
            if row.seq not in undone and row.kind != "UNDO"
        ]
        self.parts = {part.pk: part for part in Part.objects.all()}
        self.released_at = dict(Instrument.objects.values_list("pk", "released_at"))
        self.steps: dict[int, list[Step]] = defaultdict(list)
        for step in Step.objects.order_by("part_id", "position"):
            self.steps[step.part_id].append(step)
        self.joins: dict[int, set[str]] = defaultdict(set)
        for after, branch in Precedence.objects.values_list(
            "after_id", "before__branch"
        ):
            self.joins[after].add(branch)
        self.added = {
            step: one.at for one in self.told for step in one.data.get("added", ())
        }
        made = [one for one in self.told if "made" in one.data]
        # A part that is made instead of another came with it, and the other went.
        self.came = {one.data["made"]["part"]: one.at for one in made}
        self.gone = {one.data["made"]["instead_of"]: one.at for one in made}
        self.began: dict[int, datetime] = {}
        self.ended: dict[int, datetime] = {}
        for one in self.told:
            if one.kind in ("START", "LOAD"):
                self.began[one.step] = one.at
            if one.data.get("state") in ("DONE", "VOID"):
                self.ended[one.step] = one.at
            for step in one.data.get("void", ()):
                self.ended[step] = one.at

    def owner(self, part: int, at: datetime) -> int:
        """Say in which instrument a part was, by walking the swaps back."""
        owner = self.parts[part].instrument_id
        for one in reversed(self.told):
            if one.kind != "SWAP" or one.at <= at or one.instrument != owner:
                continue
            if one.data["incoming"]["part"] == part:
                owner = one.data["other"]["instrument"]
        return owner

    def is_there(self, part: int, at: datetime) -> bool:
        """Say whether a part was made by then, and not scrapped with another made."""
        is_gone = part in self.gone and self.gone[part] <= at
        return not is_gone and (part not in self.came or self.came[part] <= at)

    def first_of(self, part: int) -> int:
        """Name the part that stood at the beginning where this one stands now."""
        before = self.parts[part].instead_of_id
        return part if before is None else self.first_of(before)

    def is_open(self, step: Step, at: datetime) -> bool:
        if step.pk in self.added and self.added[step.pk] > at:
            return False
        return step.pk not in self.ended or self.ended[step.pk] > at

    def is_begun(self, step: Step, at: datetime) -> bool:
        return step.pk in self.began and self.began[step.pk] <= at

    def stage(self, part: int, at: datetime) -> int | None:
        """Say where the board would have shown a part, had it known all events."""
        row = self.parts[part]
        if not self.is_there(part, at):
            return None
        own = [step for step in self.steps[part] if self.is_open(step, at)]
        if row.branch == "ASSEMBLY":
            first = self.steps[part][0]
            begun = own and (self.is_begun(first, at) or own[0] != first)
            return own[0].stage_id if begun else None
        if own:
            return own[0].stage_id
        owner = self.owner(part, at)
        for other in sorted(self.parts):
            if self.owner(other, at) != owner:
                continue
            for step in self.steps[other]:
                waits = self.is_open(step, at) and not self.is_begun(step, at)
                if waits and row.branch in self.joins[step.operation_id]:
                    return step.stage_id
        return None


def timelines() -> dict[tuple[str, int], Timeline]:
    """Say of each part, and each instrument as one thing, where it was from when on.

    An instrument is named by its body, and is where that is until its assembly is
    begun.
    """
    ledger = Ledger()
    moments = sorted({one.at for one in ledger.told})
    found: dict[tuple[str, int], Timeline] = defaultdict(dict)
    beginning = min(ledger.released_at.values(), default=None)
    assemblies = {
        part.instrument_id: pk
        for pk, part in ledger.parts.items()
        if part.branch == "ASSEMBLY"
    }
    for pk, part in ledger.parts.items():
        released_at = ledger.released_at[ledger.owner(pk, beginning)]
        for at in [released_at, *(at for at in moments if at > released_at)]:
            stage = found[part.branch, pk][at] = ledger.stage(pk, at)
            if part.branch == "BODY" and ledger.is_there(pk, at):
                joined = ledger.stage(assemblies[ledger.owner(pk, at)], at)
                found["", ledger.first_of(pk)][at] = joined or stage
    return found
