"""What does a person read of a revision: its route by branch, checks and cautions?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from travelers.kit.refusals import NOT_FOUND, Refusal, Refused
from travelers.kit.words import label
from travelers.routes import rules
from travelers.routes.models import Operation, Revision
from travelers.routes.queries.models import may_write
from travelers.routes.queries.routes import read_route
from travelers.routes.rules import Branch, Line, RevisionState, Route
from travelers.shop.models import Person

MOST_SLOW = 6


@dataclass(frozen=True, slots=True)
class OperationRow:
    """A line of the route; ``on_longest`` says that it makes the lead time."""

    line: Line
    place: str
    after: tuple[str, ...]
    on_longest: bool


@dataclass(frozen=True, slots=True)
class BranchRows:
    branch: Branch
    operations: tuple[OperationRow, ...]
    planned: timedelta
    shortest: timedelta


@dataclass(frozen=True, slots=True)
class RevisionPage:
    """A revision; without ``shortest`` its operations wait for each other."""

    id: int
    model: str
    model_code: str
    number: str
    state: RevisionState
    released_at: datetime | None
    released_by: str
    retired_at: datetime | None
    branches: tuple[BranchRows, ...]
    shortest: timedelta | None
    longest: tuple[str, ...]
    slowest: tuple[tuple[str, timedelta], ...]
    unsound: Refusal | None
    may_release: bool
    may_draft: bool

    @property
    def operations(self) -> int:
        return sum(len(branch.operations) for branch in self.branches)


def revision_page(*, model_code: str, number: str, by: Person) -> RevisionPage:
    row = (
        Revision.objects.select_related("model", "released_by")
        .filter(model__code=model_code, number=number)
        .first()
    )
    if row is None:
        raise Refused(NOT_FOUND)
    route = read_route(revision_id=row.pk)
    unsound = rules.unsound(route, f"{row.model.name} {row.number}")
    shortest, longest = (None, ()) if unsound else route.longest_path()
    is_draft = row.state == RevisionState.DRAFT
    return RevisionPage(
        row.pk,
        row.model.name,
        row.model.code,
        row.number,
        RevisionState(row.state),
        row.released_at,
        str(row.released_by or ""),
        row.retired_at,
        _branches(route, _places(row), frozenset(longest)),
        shortest,
        tuple(route.by_id[line_id].name for line_id in longest),
        _slowest(route.by_id[line_id] for line_id in longest),
        unsound,
        is_draft and may_write(by=by),
        not is_draft and may_write(by=by),
    )


def _slowest(lines: Iterable[Line]) -> tuple[tuple[str, timedelta], ...]:
    """Name the few operations of the longest way that take most of it."""
    spans = [(line.name, rules.shortest(line)) for line in lines]
    return tuple(sorted(spans, key=lambda one: -one[1])[:MOST_SLOW])


def _places(row: Revision) -> Mapping[int, str]:
    """Say where each operation is done: at its station, or anywhere in its stage."""
    rows = Operation.objects.filter(revision=row).values_list(
        "id", "station__name", "stage__name"
    )
    return {line_id: station or stage for line_id, station, stage in rows}


def _branches(
    route: Route, places: Mapping[int, str], longest: frozenset[int]
) -> tuple[BranchRows, ...]:
    by_branch: dict[Branch, list[OperationRow]] = {branch: [] for branch in Branch}
    for line in route.lines:
        by_branch[line.branch].append(
            OperationRow(line, places[line.id], _after(route, line), line.id in longest)
        )
    return tuple(
        BranchRows(
            branch,
            tuple(rows),
            sum((row.line.planned * row.line.times for row in rows), timedelta(0)),
            sum((rules.shortest(row.line) for row in rows), timedelta(0)),
        )
        for branch, rows in by_branch.items()
    )


def _after(route: Route, line: Line) -> tuple[str, ...]:
    """Name the operations of other branches that a line waits for."""
    before = [route.by_id[one] for one in line.after if one in route.by_id]
    ordered = sorted(before, key=lambda one: (rules.ORDER[one.branch], one.number))
    return tuple(f"{label(one.branch)} {one.number} {one.name}" for one in ordered)
