"""Which values make up a chart: of one characteristic, over all its revisions?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

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
    row = _characteristic(number)
    same = (
        Characteristic.objects.filter(
            code=row.code,
            places=row.places,
            kind=row.kind,
            unit=row.unit,
            operation__branch=row.operation.branch,
            operation__name=row.operation.name,
            operation__revision__model=row.operation.revision.model_id,
        )
        .order_by("-pk")
        .values_list("pk", flat=True)
    )
    ids = tuple(same)
    most = min(MOST_PARTS * row.places, MOST_READINGS)
    parts = floor.measured(characteristic_ids=ids, most=most)
    newest = _characteristic(ids[0])
    return Series(
        newest.pk,
        ids,
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
        tuple(sorted(parts, key=lambda one: one.at)),
    )


def base_of(*, series: Series) -> Base | None:
    """Give the time that was chosen last for a characteristic's limits."""
    row = (
        ChartBase.objects.filter(characteristic_id__in=series.ids)
        .select_related("by")
        .order_by("-made_at", "-pk")
        .first()
    )
    return Base(row.since, row.until, str(row.by), row.made_at) if row else None


def parts_of_base(
    *, series: Series, since: date, until: date, zone: ZoneInfo
) -> Sequence[Measured]:
    """Give the parts that were measured from one day to another."""
    start, end = span_of(since, until, zone)
    return [one for one in series.parts if start <= one.at < end]


def _characteristic(number: int) -> Characteristic:
    row = (
        Characteristic.objects.filter(pk=number)
        .select_related("operation__revision__model")
        .first()
    )
    if row is None:
        raise Refused(NOT_FOUND)
    return row


def _float(value: object) -> float | None:
    return None if value is None else float(value)  # type: ignore[arg-type]
