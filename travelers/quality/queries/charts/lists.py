"""Which characteristics are charted, and how many of their values are outside?"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from travelers.floor import queries as floor
from travelers.routes.models import Characteristic
from travelers.routes.rules import Branch

# The list counts what was measured in the last half year.
COUNTED = timedelta(days=182)


@dataclass(frozen=True, slots=True)
class ChartRow:
    """A characteristic of a model over all revisions of its route."""

    id: int
    name: str
    operation: str
    branch: Branch
    model: str
    unit: str
    places: int
    count: int
    outside: int
    last_at: datetime | None

    @property
    def outside_pct(self) -> float:
        return 100 * self.outside / self.count if self.count else 0.0


def chart_list(*, at: datetime) -> tuple[ChartRow, ...]:
    """List what was measured lately, what is outside most often first."""
    tallies = {one.characteristic_id: one for one in floor.tallies(since=at - COUNTED)}
    groups: dict[tuple[object, ...], list[Characteristic]] = {}
    rows = Characteristic.objects.filter(pk__in=tallies).select_related(
        "operation__revision__model"
    )
    for row in rows.order_by("-pk"):
        operation = row.operation
        key = (
            operation.revision.model_id,
            operation.branch,
            operation.name,
            row.code,
            row.places,
            row.kind,
            row.unit,
        )
        groups.setdefault(key, []).append(row)
    found = [_row(same, tallies) for same in groups.values()]
    return tuple(
        sorted(found, key=lambda one: (-one.outside_pct, one.model, one.name, one.id))
    )


def _row(same: list[Characteristic], tallies: dict[int, floor.Tally]) -> ChartRow:
    newest, own = same[0], [tallies[row.pk] for row in same]
    return ChartRow(
        newest.pk,
        newest.name,
        newest.operation.name,
        Branch(newest.operation.branch),
        newest.operation.revision.model.name,
        newest.unit,
        newest.places,
        sum(one.count for one in own),
        sum(one.outside for one in own),
        max(one.last_at for one in own),
    )
