"""At which stages were the parts of instruments, and from when to when?

Read from the steps as they stand, with the rework of the ledger, which alone knows when
steps were dropped and added.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
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
Row = tuple[Any, ...]


def visits(*, instrument_ids: Collection[int]) -> Iterator[Visit]:
    """Give each part's visits, and those of each instrument as one thing."""
    ordered = sorted(instrument_ids)
    for start in range(0, len(ordered), TOGETHER):
        yield from _visits(ordered[start : start + TOGETHER])


def _visits(instrument_ids: Collection[int]) -> Iterator[Visit]:
    steps: dict[int, list[Row]] = defaultdict(list)
    rows = Step.objects.filter(instrument_id__in=instrument_ids)
    for row in rows.order_by("part_id", "position").values_list(*COLUMNS):
        steps[row[1]].append(row)
    parts: dict[int, list[tuple[int, Branch]]] = defaultdict(list)
    held = Part.objects.filter(instrument_id__in=instrument_ids).order_by("pk")
    for part, instrument, branch in held.values_list("pk", "instrument_id", "branch"):
        parts[instrument].append((part, Branch(branch)))
    reworked = on_floor.reworked(
        part_ids=[part for part, own in steps.items() if any(row[4] for row in own)]
    )
    for one in Instrument.objects.filter(pk__in=instrument_ids):
        route = released_route(revision_id=one.revision_id)
        reader = _Reader(route, one, reworked)
        times = [
            reader.part(part, branch, steps[part]) for part, branch in parts[one.pk]
        ]
        own = visits_of(times, one.closed_at)
        yield from (*own, *whole(own))


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

    def part(self, part_id: int, branch: Branch, rows: list[Row]) -> PartTimes:
        """Read a part with its steps, given in their order."""
        steps = tuple(self._step(row) for row in rows)
        return PartTimes(part_id, branch, self._entered_at(rows), steps)

    def _entered_at(self, rows: list[Row]) -> datetime:
        """Say when a part was released: with its first step, which was ready then.

        A swap may have brought it from an instrument that was released earlier or
        later.  A first step that waits for another branch is ready later.
        """
        released: datetime = self._instrument.released_at
        if not rows or self._route.by_id[rows[0][2]].after:
            return released
        return rows[0][7] or released

    def _step(self, row: Row) -> StepTimes:
        pk, _, operation, repeat, turn, state, stage, _, started_at, finished_at = row
        line = self._route.by_id[operation]
        closed_at = finished_at
        if state == StepState.VOID:
            closed_at = self._reworked.dropped.get(pk, self._instrument.closed_at)
        return StepTimes(
            stage,
            self._reworked.added.get(pk) if turn else None,
            started_at,
            closed_at,
            _joins(self._route.by_id, line),
            line is self._first and repeat == 1 and turn == 0,
        )


def _joins(by_id: Mapping[int, Line], line: Line) -> frozenset[Branch]:
    return frozenset(by_id[before].branch for before in line.after)
