"""How wet was the wood of sets, and how is a meter corrected for its species?"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Max, OuterRef, QuerySet, Subquery

from travelers.lumber.models import MoistureReading, Piece, SpeciesCorrection
from travelers.lumber.rules import Dryness, LastRead, Method, dryness
from travelers.shop.models import Gauge
from travelers.shop.rules import Role

# Who reads the moisture of wood.
MOISTURE_READERS = (Role.OPERATOR, Role.LEAD, Role.PLANNER, Role.QA)
ON_A_SET = 200


@dataclass(frozen=True, slots=True)
class Moisture:
    """A reading of a piece as the set's page shows it."""

    letter: str
    point: int
    read_at: datetime
    method: Method
    shown_pct: Decimal | None
    wood_c: Decimal | None
    moisture_pct: Decimal
    gauge: str
    in_calibration: bool | None
    wet_mass_g: Decimal | None
    dry_mass_g: Decimal | None
    person: str


@dataclass(frozen=True, slots=True)
class Meter:
    id: int
    name: str


@dataclass(frozen=True, slots=True)
class Session:
    """When a set was read, and the wettest point of it then."""

    read_at: datetime
    worst_pct: float


def corrections(*, species_id: int) -> tuple[tuple[Decimal, Decimal], ...]:
    """Give the rows of a species' table: what a meter shows, and what is added."""
    return tuple(
        SpeciesCorrection.objects.filter(species_id=species_id)
        .order_by("shown_pct")
        .values_list("shown_pct", "add_pct")
    )


def last_read(*, plank_set_id: int) -> dict[int, LastRead]:
    """Give the last reading of each piece of a set that was read."""
    return _last_read([plank_set_id]).get(plank_set_id, {})


def drynesses(
    *, plank_set_ids: Collection[int], since: datetime | None = None
) -> dict[int, Dryness]:
    """Say how dry sets are by their last readings: one query for all; unread left out.

    With ``since`` older readings do not count.
    """
    letters: dict[int, list[str]] = {}
    for set_id, letter in (
        Piece.objects.filter(plank_set_id__in=plank_set_ids)
        .order_by("letter")
        .values_list("plank_set_id", "letter")
    ):
        letters.setdefault(set_id, []).append(letter)
    read = _last_read(plank_set_ids, since)
    found = {
        set_id: dryness(all_of, read.get(set_id, {}).values())
        for set_id, all_of in letters.items()
    }
    return {set_id: one for set_id, one in found.items() if one}


def sessions(*, plank_set_ids: Collection[int]) -> dict[int, list[Session]]:
    """Give for each set when it was read and its wettest point then, in order."""
    rows = (
        MoistureReading.objects.filter(piece__plank_set_id__in=plank_set_ids)
        .values_list("piece__plank_set_id", "read_at")
        .annotate(worst=Max("moisture_pct"))
        .order_by("piece__plank_set_id", "read_at")
    )
    found: dict[int, list[Session]] = {}
    for set_id, read_at, worst in rows:
        found.setdefault(set_id, []).append(Session(read_at, float(worst)))
    return found


def moistures(*, plank_set_id: int) -> tuple[Moisture, ...]:
    """Give the newest readings of a set, the latest first."""
    rows = (
        MoistureReading.objects.filter(piece__plank_set_id=plank_set_id)
        .select_related("piece", "gauge", "person")
        .order_by("-read_at", "piece__letter", "point")
    )
    return tuple(_moisture(row) for row in rows[:ON_A_SET])


def meters() -> tuple[Meter, ...]:
    rows = Gauge.objects.filter(kind="moisture_meter").order_by("name", "id")
    return tuple(Meter(row.pk, row.name) for row in rows)


def _last_read(
    plank_set_ids: Collection[int], since: datetime | None = None
) -> dict[int, dict[int, LastRead]]:
    rows: QuerySet[MoistureReading] = MoistureReading.objects.filter(
        piece__plank_set_id__in=plank_set_ids
    )
    if since:
        rows = rows.filter(read_at__gte=since)
    newest = (
        MoistureReading.objects.filter(piece_id=OuterRef("piece_id"))
        .order_by("-read_at")
        .values("read_at")[:1]
    )
    found: dict[int, dict[int, LastRead]] = {}
    for set_id, piece_id, letter, read_at, worst in (
        rows.filter(read_at=Subquery(newest))
        .values_list("piece__plank_set_id", "piece_id", "piece__letter", "read_at")
        .annotate(worst=Max("moisture_pct"))
        .order_by("piece__plank_set_id", "piece__letter")
    ):
        found.setdefault(set_id, {})[piece_id] = LastRead(letter, worst, read_at)
    return found


def _moisture(row: MoistureReading) -> Moisture:
    return Moisture(
        row.piece.letter,
        row.point,
        row.read_at,
        Method(row.method),
        row.shown_pct,
        row.wood_c,
        row.moisture_pct,
        row.gauge.name if row.gauge else "",
        row.in_calibration,
        row.wet_mass_g,
        row.dry_mass_g,
        str(row.person),
    )
