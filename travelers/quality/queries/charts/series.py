"""Which values make up a chart: of one characteristic, over all its revisions?"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import chain
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from travelers.floor import queries as floor
from travelers.floor.queries import Measured
from travelers.kit.days import span_of
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.quality.models import ChartBase
from travelers.routes.models import Characteristic
from travelers.routes.rules import CheckKind

# A chart shows so many parts, or fewer where each has many places.
MOST_PARTS, MOST_READINGS = 500, 4_000


@dataclass(frozen=True, slots=True)
class Series:
    """A characteristic as its newest revision has it, and its values in their order.

    ``ids`` are the same characteristic in all revisions of the model's route.
    """

    id: int
    ids: tuple[int, ...]
    name: str
    operation: str
    branch: str
    model: str
    kind: CheckKind
    unit: str
    decimals: int
    least: float | None
    most: float | None
    nominal: float | None
    places: int
    place_name: str
    parts: tuple[Measured, ...]


@dataclass(frozen=True, slots=True)
class Base:
    """The time that the limits are made of, and who chose it."""

    since: date
    until: date
    by: str
    made_at: datetime

    def holds(self, at: datetime, zone: ZoneInfo) -> bool:
        return self.since <= at.astimezone(zone).date() <= self.until


def series_of(*, number: int) -> Series:
    """Give a characteristic with the latest values of all its revisions."""
    found = several_series(numbers=[number])
    if not found:
        raise Refused(NOT_FOUND)
    return found[0]


def several_series(*, numbers: Collection[int]) -> tuple[Series, ...]:
    """Give several characteristics likewise, each once, in the order of their numbers.

    It asks once for each number of places that they have, not for each of them.
    """
    asked = _rows().filter(pk__in=numbers).order_by("pk")
    keys = list(dict.fromkeys(_same(row) for row in asked))
    groups: dict[tuple[object, ...], list[Characteristic]] = {key: [] for key in keys}
    alike = _rows().filter(
        code__in={row.code for row in asked},
        operation__revision__model__in={
            row.operation.revision.model_id for row in asked
        },
    )
    for row in alike.order_by("-pk"):
        if (key := _same(row)) in groups:
            groups[key].append(row)
    parts = _parts(groups.values())
    return tuple(
        _series(
            groups[key], [one for row in groups[key] for one in parts.get(row.pk, ())]
        )
        for key in keys
    )


def _rows() -> QuerySet[Characteristic]:
    return Characteristic.objects.select_related("operation__revision__model")


def _same(row: Characteristic) -> tuple[object, ...]:
    """Say what is the same in all revisions of a characteristic."""
    operation = row.operation
    return (
        operation.revision.model_id,
        operation.branch,
        operation.name,
        row.code,
        row.places,
        row.kind,
        row.unit,
    )


def _parts(
    groups: Iterable[Sequence[Characteristic]],
) -> dict[int, list[Measured]]:
    """Read what was measured, of each characteristic as much as a chart shows."""
    ids: dict[int, list[int]] = defaultdict(list)
    for row in chain.from_iterable(groups):
        ids[min(MOST_PARTS * row.places, MOST_READINGS)].append(row.pk)
    found: dict[int, list[Measured]] = defaultdict(list)
    for most, own in ids.items():
        for one in floor.measured(characteristic_ids=own, most=most):
            found[one.characteristic_id].append(one)
    return found


def _series(same: Sequence[Characteristic], parts: Iterable[Measured]) -> Series:
    newest = same[0]
    return Series(
        newest.pk,
        tuple(row.pk for row in same),
        newest.name,
        newest.operation.name,
        newest.operation.branch,
        newest.operation.revision.model.name,
        CheckKind(newest.kind),
        newest.unit,
        newest.decimals,
        _float(newest.lower),
        _float(newest.upper),
        _float(newest.nominal),
        newest.places,
        newest.place_name,
        tuple(sorted(parts, key=lambda one: (one.at, one.characteristic_id))),
    )


def bases_of(*, several: Iterable[Series]) -> dict[int, Base]:
    """Give the time that was chosen last for each one's limits, by its number."""
    owner = {number: one.id for one in several for number in one.ids}
    rows = ChartBase.objects.filter(characteristic_id__in=owner).select_related("by")
    return {
        owner[row.characteristic_id]: Base(
            row.since, row.until, str(row.by), row.made_at
        )
        for row in rows.order_by("made_at", "pk")
    }


def parts_of_base(
    *, series: Series, since: date, until: date, zone: ZoneInfo
) -> Sequence[Measured]:
    """Give the parts that were measured from one day to another."""
    start, end = span_of(since, until, zone)
    return [one for one in series.parts if start <= one.at < end]


def _float(value: object) -> float | None:
    return None if value is None else float(value)  # type: ignore[arg-type]
