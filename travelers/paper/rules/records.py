"""Which moments of an instrument's way does its build record tell?  Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from travelers.routes.rules import Branch, Joins, OperationKind

# Holds of other branches dry no wood and cure no finish.
OF_WOOD = (Branch.BODY, Branch.NECK)


class Mark(StrEnum):
    """The moments, in the order in which a usual instrument comes by them."""

    RELEASED = "RELEASED"
    WOOD_DRY = "WOOD_DRY"
    GLUED = "GLUED"
    CURED = "CURED"
    ASSEMBLED = "ASSEMBLED"
    TESTED = "TESTED"
    FINISHED = "FINISHED"


@dataclass(frozen=True, slots=True)
class Deed:
    """An operation that was done, once, on one of the parts."""

    branch: Branch
    number: int
    name: str
    kind: OperationKind
    joins: Joins
    at: datetime


@dataclass(frozen=True, slots=True)
class Leg:
    """The way from one moment to the next; ``share`` of the whole way it ends at."""

    mark: Mark
    at: datetime
    took: timedelta
    begins: float
    ends: float
    operation: str = ""


def way_of(
    deeds: Iterable[Deed], *, released_at: datetime, closed_at: datetime
) -> tuple[Leg, ...]:
    """Find the moments by what the operations are, not by how a shop calls them.

    Wood is dry as its last hold before the gluing of its pieces ends.  The last hold
    of all, before the parts are joined, cures the finish.  The assembly's last
    inspections, those with no other work between them, are its test, and the first
    of them names it.  A moment that a route does not have is left out.
    """
    done = sorted(deeds, key=lambda deed: (deed.at, deed.number))
    glued = [deed for deed in done if deed.joins is Joins.PIECES]
    before, after = _holds(done, glued)
    joined = [deed for deed in done if deed.joins is Joins.BRANCHES]
    found = (
        (Mark.WOOD_DRY, _last(before)),
        (Mark.GLUED, _last(glued)),
        (Mark.CURED, _last(after)),
        (Mark.ASSEMBLED, _last(joined)),
        (Mark.TESTED, _tested(done)),
    )
    moments = [
        (Mark.RELEASED, released_at, ""),
        *((mark, deed.at, deed.name) for mark, deed in found if deed),
        (Mark.FINISHED, closed_at, ""),
    ]
    return _legs(sorted(moments, key=lambda moment: moment[1]))


def _holds(
    done: Sequence[Deed], glued: Sequence[Deed]
) -> tuple[list[Deed], list[Deed]]:
    """Tell the holds of a branch before its gluing from all later ones."""
    first = {deed.branch: deed.number for deed in reversed(glued)}
    before: list[Deed] = []
    after: list[Deed] = []
    for deed in done:
        if deed.kind is not OperationKind.HOLD or deed.branch not in OF_WOOD:
            continue
        is_before = deed.number < first.get(deed.branch, 0)
        (before if is_before else after).append(deed)
    return before, after


def _tested(done: Sequence[Deed]) -> Deed | None:
    """Find the first of the last inspections in a row, as it was done last."""
    row: list[Deed] = []
    is_broken = False
    for deed in done:
        if deed.branch is not Branch.ASSEMBLY:
            continue
        if deed.kind is not OperationKind.INSPECT:
            is_broken = True
        elif is_broken:
            row, is_broken = [deed], False
        else:
            row.append(deed)
    return _last([deed for deed in row if deed.number == row[0].number])


def _last(deeds: Sequence[Deed]) -> Deed | None:
    return deeds[-1] if deeds else None


def _legs(moments: Sequence[tuple[Mark, datetime, str]]) -> tuple[Leg, ...]:
    first, whole = moments[0][1], moments[-1][1] - moments[0][1]
    legs, before = [], first
    for mark, at, operation in moments:
        begins, ends = (
            (moment - first) / whole if whole else 0.0 for moment in (before, at)
        )
        legs.append(Leg(mark, at, at - before, begins, ends, operation))
        before = at
    return tuple(legs)
