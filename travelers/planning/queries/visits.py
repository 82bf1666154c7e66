"""At which stages were the parts of instruments, and from when to when?

Read from the steps as they stand, with the rework of the ledger, which alone knows when
steps were dropped and added.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from travelers.floor import queries as on_floor
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import StepState
from travelers.planning.rules import PartTimes, StepTimes, Visit, visits_of, whole
from travelers.routes.queries import released_route
from travelers.routes.rules import Branch, Line, Route

# So many instruments are looked at together.
TOGETHER = 200
COLUMNS = (
    *("pk", "part_id", "operation_id", "repeat", "turn", "state", "stage_id"),
    *("ready_at", "started_at", "finished_at"),
)
MADE = ("instead_of__scrapped_at", "scrapped_at")
Row = tuple[Any, ...]


def visits(*, instrument_ids: Collection[int]) -> Iterator[Visit]:
    """Give each part's visits, and those of each instrument as one thing."""
    ordered = sorted(instrument_ids)
    for start in range(0, len(ordered), TOGETHER):
        yield from _visits(ordered[start : start + TOGETHER])


def _visits(instrument_ids: Collection[int]) -> Iterator[Visit]:
    parts = _parts(instrument_ids)
    steps: dict[int, list[Row]] = defaultdict(list)
    own_parts = [part.id for own in parts.values() for part in own]
    rows = Step.objects.filter(part_id__in=own_parts)
    for row in rows.order_by("part_id", "position").values_list(*COLUMNS):
        steps[row[1]].append(row)
    reworked = on_floor.reworked(
        part_ids=[part for part, own in steps.items() if any(row[4] for row in own)]
    )
    for one in Instrument.objects.filter(pk__in=instrument_ids):
        route = released_route(revision_id=one.revision_id)
        reader = _Reader(route, one, reworked)
        times = [reader.part(part, steps[part.id]) for part in parts.get(one.pk, ())]
        own = visits_of(times, one.closed_at)
        yield from (*own, *whole(own))


def _parts(instrument_ids: Collection[int]) -> "Mapping[int, list[Made]]":
    """Read the parts in use, and what was scrapped before each of them.

    A swap may have taken the part that is made instead to another instrument: what
    stood there before it is told of that one.
    """
    found: dict[int, list[Made]] = defaultdict(list)
    owner: dict[int, int] = {}
    rows = Part.objects.in_use().filter(instrument_id__in=instrument_ids)
    while told := list(
        rows.order_by("pk").values_list(
            "pk", "branch", "instrument_id", "made_instead", *MADE
        )
    ):
        for pk, branch, instrument, later, *made in told:
            owner[pk] = owner.get(later, instrument)
            found[owner[pk]].append(Made(pk, Branch(branch), *made))
        rows = Part.objects.filter(made_instead__in=[row[0] for row in told])
    return {
        instrument: sorted(own, key=lambda part: part.id)
        for instrument, own in found.items()
    }


@dataclass(frozen=True, slots=True)
class Made:
    """A part: since when it is made instead of another, and when it was scrapped."""

    id: int
    branch: Branch
    instead_at: datetime | None
    scrapped_at: datetime | None


class _Reader:
    """Reads the times of an instrument's steps."""

    def __init__(
        self, route: Route, instrument: Instrument, reworked: on_floor.Reworked
    ) -> None:
        self._route, self._instrument = route, instrument
        self._reworked = reworked
        self._first = next(
            (one for one in route.lines if one.branch is Branch.ASSEMBLY), None
        )

    def part(self, part: Made, rows: list[Row]) -> PartTimes:
        """Read a part with its steps, given in their order."""
        steps = tuple(self._step(row, part) for row in rows)
        entered_at = part.instead_at or self._entered_at(rows)
        return PartTimes(part.id, part.branch, entered_at, steps, part.scrapped_at)

    def _entered_at(self, rows: list[Row]) -> datetime:
        """Say when a part was released: with its first step, which was ready then.

        A swap may have brought it from an instrument that was released earlier or
        later.  A first step that waits for another branch is ready later.
        """
        released: datetime = self._instrument.released_at
        if not rows or self._route.by_id[rows[0][2]].after:
            return released
        return rows[0][7] or released

    def _step(self, row: Row, part: Made) -> StepTimes:
        pk, _, operation, repeat, turn, state, stage, _, started_at, finished_at = row
        line = self._route.by_id[operation]
        closed_at = finished_at
        if state == StepState.VOID:
            gone_at = part.scrapped_at or self._instrument.closed_at
            closed_at = self._reworked.dropped.get(pk, gone_at)
        return StepTimes(
            stage,
            self._reworked.added.get(pk) if turn else part.instead_at,
            started_at,
            closed_at,
            _joins(self._route.by_id, line),
            line is self._first and repeat == 1 and turn == 0,
        )


def _joins(by_id: Mapping[int, Line], line: Line) -> frozenset[Branch]:
    return frozenset(by_id[before].branch for before in line.after)
