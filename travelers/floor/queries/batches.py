"""Which batches did the shop take in, where do they stand, and what is made of them?"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Count, Max

from travelers.floor.models import Batch, BatchAtStation, BatchHold
from travelers.floor.queries.standing import standing_uses
from travelers.floor.rules.machine import DECIDERS
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.routes.models import Material
from travelers.routes.rules import Traced
from travelers.shop.models import Person

# So many batches of a material are shown; the older ones are found by their number.
SHOWN = 12


@dataclass(frozen=True, slots=True)
class BatchRow:
    """A batch as its list shows it; ``stations`` are those that work with it now."""

    code: str
    number: str
    received_on: date
    expires_on: date | None
    is_over: bool
    opened_at: datetime | None
    is_held: bool
    stations: tuple[str, ...]
    parts: int


@dataclass(frozen=True, slots=True)
class MaterialRows:
    name: str
    traced: Traced
    batches: tuple[BatchRow, ...]
    more: int


@dataclass(frozen=True, slots=True)
class MaterialsPage:
    materials: tuple[MaterialRows, ...]
    by_batch: tuple[tuple[int, str], ...]
    may_take_in: bool


@dataclass(frozen=True, slots=True)
class BatchHoldRow:
    uuid: UUID
    reason: str
    held_at: datetime
    held_by: str
    lifted_at: datetime | None
    lifted_by: str
    lifted_reason: str


@dataclass(frozen=True, slots=True)
class StoodRow:
    """A station that worked with a batch, from when on."""

    station: str
    began_at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class BatchPage:
    row: BatchRow
    material: str
    taken_in_at: datetime
    taken_in_by: str
    holds: tuple[BatchHoldRow, ...]
    stood: tuple[StoodRow, ...]
    instruments: int
    may_decide: bool


def may_keep_batches(*, by: Person) -> bool:
    """Say whether somebody takes batches in and holds them."""
    return bool(DECIDERS & frozenset(by.roles))


def materials_page(*, by: Person, today: date) -> MaterialsPage:
    """List the materials with their newest batches."""
    materials = list(Material.objects.order_by("name"))
    rows: dict[int, list[Batch]] = defaultdict(list)
    for batch in Batch.objects.order_by("-received_on", "-pk"):
        rows[batch.material_id].append(batch)
    shown = {pk: found[:SHOWN] for pk, found in rows.items()}
    told = _rows([one for found in shown.values() for one in found], today)
    return MaterialsPage(
        tuple(
            MaterialRows(
                material.name,
                Traced(material.traced),
                tuple(told[one.pk] for one in shown.get(material.pk, ())),
                max(0, len(rows[material.pk]) - SHOWN),
            )
            for material in materials
        ),
        tuple((m.pk, m.name) for m in materials if m.traced == Traced.BATCH),
        may_keep_batches(by=by),
    )


def batch_page(*, code: str, by: Person, today: date) -> BatchPage:
    """Show one batch: where it stood, what holds it, how much is made of it."""
    row = (
        Batch.objects.select_related("material", "taken_in_by")
        .filter(code=code)
        .first()
    )
    if row is None:
        raise Refused(NOT_FOUND)
    holds = BatchHold.objects.filter(batch=row).select_related("held_by", "lifted_by")
    stood = BatchAtStation.objects.filter(batch=row).select_related("station", "person")
    uses = standing_uses().filter(batch=row)
    instruments = uses.aggregate(n=Count("event__part__instrument", distinct=True))["n"]
    return BatchPage(
        _rows([row], today)[row.pk],
        row.material.name,
        row.taken_in_at,
        str(row.taken_in_by),
        tuple(_hold_row(hold) for hold in holds.order_by("lifted_at", "-held_at")),
        tuple(
            StoodRow(one.station.name, one.began_at, str(one.person))
            for one in stood.order_by("-began_at", "-pk")
        ),
        instruments,
        may_keep_batches(by=by),
    )


def _hold_row(row: BatchHold) -> BatchHoldRow:
    return BatchHoldRow(
        row.uuid,
        row.reason,
        row.held_at,
        str(row.held_by),
        row.lifted_at,
        str(row.lifted_by or ""),
        row.lifted_reason,
    )


def _rows(batches: list[Batch], today: date) -> Mapping[int, BatchRow]:
    """Tell of batches in a few questions, however many there are."""
    ids = [batch.pk for batch in batches]
    held = set(
        BatchHold.objects.filter(batch__in=ids, lifted_at=None).values_list(
            "batch_id", flat=True
        )
    )
    parts = dict(
        standing_uses()
        .filter(batch__in=ids)
        .order_by()
        .values_list("batch_id")
        .annotate(n=Count("event__part", distinct=True))
    )
    at_work = _stations(batches)
    return {
        batch.pk: BatchRow(
            batch.code,
            batch.number,
            batch.received_on,
            batch.expires_on,
            batch.expires_on is not None and batch.expires_on < today,
            batch.opened_at,
            batch.pk in held,
            tuple(at_work.get(batch.pk, ())),
            parts.get(batch.pk, 0),
        )
        for batch in batches
    }


def _stations(batches: list[Batch]) -> Mapping[int, list[str]]:
    """Say at which stations batches are in use now: there no other came since."""
    materials = {batch.material_id for batch in batches}
    last = (
        BatchAtStation.objects.filter(batch__material__in=materials)
        .order_by()
        .values("station", "batch__material")
        .annotate(last=Max("pk"))
        .values("last")
    )
    found: dict[int, list[str]] = defaultdict(list)
    rows = BatchAtStation.objects.filter(pk__in=last).order_by("station__name")
    for batch_id, name in rows.values_list("batch_id", "station__name"):
        found[batch_id].append(name)
    return found
