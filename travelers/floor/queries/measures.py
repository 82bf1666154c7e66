"""What was read last of an instrument, and which of its parts came from another?"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from travelers.floor.models import Event, Reading
from travelers.floor.queries.histories import SwapRow, swaps_of
from travelers.floor.queries.standing import standing_readings
from travelers.floor.rules.machine import Wish
from travelers.routes.queries import check_of
from travelers.routes.rules import ORDER, Branch, Check, CheckKind


@dataclass(frozen=True, slots=True)
class Value:
    """What was read at one place, and whether it lay inside the limits then."""

    value: Decimal
    verdict: str

    @property
    def is_inside(self) -> bool:
        return self.verdict == "INSIDE"


@dataclass(frozen=True, slots=True)
class Measure:
    """A check with what it said last, place by place."""

    branch: Branch
    check: Check
    values: tuple[Value, ...]

    @property
    def is_measured(self) -> bool:
        return self.check.kind is CheckKind.MEASURED

    @property
    def is_inside(self) -> bool:
        return all(value.is_inside for value in self.values)


def last_read(*, instrument_id: int) -> tuple[Measure, ...]:
    """Give each check's last reading of the parts in an instrument, by the route.

    What was taken back was never read; where one place was read again, that counts.
    """
    rows = (
        standing_readings()
        .filter(event__part__instrument_id=instrument_id)
        .select_related("characteristic__operation")
        .order_by("event_id", "id")
    )
    last = {(row.characteristic_id, row.place): row for row in rows}
    ordered = sorted(last.values(), key=_place_in_route)
    return tuple(
        _measure(list(some))
        for _, some in groupby(ordered, key=lambda row: row.characteristic_id)
    )


def swaps_in(*, instrument_id: int) -> tuple[SwapRow, ...]:
    """List the swaps that an instrument's parts went through, newest first."""
    return swaps_of(
        Event.objects.filter(instrument_id=instrument_id, kind=Wish.SWAP, accepted=True)
        .select_related("person", "part")
        .order_by("seq")
    )


def _place_in_route(row: Reading) -> tuple[int, int, int, int]:
    line = row.characteristic.operation
    branch = ORDER[Branch(line.branch)]
    return branch, line.number, row.characteristic_id, row.place


def _measure(rows: Iterable[Reading]) -> Measure:
    rows = list(rows)
    check = rows[0].characteristic
    return Measure(
        Branch(check.operation.branch),
        check_of(row=check),
        tuple(Value(round(row.value, check.decimals), row.verdict) for row in rows),
    )
