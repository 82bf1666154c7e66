"""How wet was the wood of sets, and how is a meter corrected for its species?"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from django.db.models import Count, FloatField, Max, Min, OuterRef, Q, Subquery

from travelers.formulas.drying import fit, oak_rate_per_day
from travelers.lumber.models import (
    MoistureReading,
    Piece,
    PlankSet,
    SpeciesCorrection,
)
from travelers.lumber.queries.rooms import air_since
from travelers.lumber.rules import Dryness, LastRead, Method, dryness
from travelers.shop.models import Gauge
from travelers.shop.rules import Role

# Who reads the moisture of wood.
MOISTURE_READERS = (Role.OPERATOR, Role.LEAD, Role.PLANNER, Role.QA)
ON_A_SET = 200
FEWEST_FOR_A_RATE = 2
WORKSHOP_WARMTH_C = 20.0


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


def handbook_name(*, plank_set_id: int) -> str:
    """Give the name by which the published tables know a set's species, or ""."""
    name: str = PlankSet.objects.values_list(
        "plank__delivery__species__handbook_name", flat=True
    ).get(pk=plank_set_id)
    return name


def last_read(*, plank_set_id: int) -> dict[int, LastRead]:
    """Give the last reading of each piece of a set that was read."""
    return _last_read([plank_set_id]).get(plank_set_id, {})


def drynesses(
    *,
    plank_set_ids: Collection[int],
    since: datetime | None = None,
    until: datetime | None = None,
) -> dict[int, Dryness]:
    """Say how dry sets are by their last readings, for all at once; unread left out.

    Readings before ``since`` and after ``until`` do not count.
    """
    letters: dict[int, list[str]] = {}
    for set_id, letter in (
        Piece.objects.filter(plank_set_id__in=plank_set_ids)
        .order_by("letter")
        .values_list("plank_set_id", "letter")
    ):
        letters.setdefault(set_id, []).append(letter)
    read = _last_read(plank_set_ids, since, until)
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
        .annotate(worst=Max("moisture_pct", output_field=FloatField()))
        .order_by("piece__plank_set_id", "read_at")
    )
    found: dict[int, list[Session]] = {}
    for set_id, read_at, worst in rows:
        found.setdefault(set_id, []).append(Session(read_at, float(worst)))
    return found


def own_rate_per_day(*, plank_set_id: int, room_id: int, since: datetime) -> float:
    """Say how fast a set dried since it came into a room, by its own readings.

    With fewer than two readings it is the rate of a published wood of its thickness.
    """
    read = [
        one
        for one in sessions(plank_set_ids=[plank_set_id]).get(plank_set_id, [])
        if one.read_at >= since
    ]
    air = air_since(room_id=room_id, since=since)
    if len(read) < FEWEST_FOR_A_RATE or air is None:
        thickness = Piece.objects.filter(plank_set_id=plank_set_id).aggregate(
            least=Min("thickness_mm")
        )["least"]
        return oak_rate_per_day(float(thickness), WORKSHOP_WARMTH_C)
    days = [(one.read_at - since) / timedelta(days=1) for one in read]
    values = [one.worst_pct for one in read]
    return fit(days, values, air.equilibrium_pct).rate_per_day


def moistures(*, plank_set_id: int) -> tuple[Moisture, ...]:
    """Give the newest readings of a set, the latest first."""
    rows = (
        MoistureReading.objects.filter(piece__plank_set_id=plank_set_id)
        .select_related("piece", "gauge", "person")
        .order_by("-read_at", "piece__letter", "point")
    )
    return tuple(_moisture(row) for row in rows[:ON_A_SET])


def pieces_of(*, plank_set_ids: Collection[int]) -> dict[int, int]:
    """Count the pieces of sets."""
    rows = Piece.objects.filter(plank_set_id__in=plank_set_ids).order_by()
    return dict(rows.values_list("plank_set_id").annotate(n=Count("*")))


def meters() -> tuple[Meter, ...]:
    rows = Gauge.objects.filter(kind="moisture_meter").order_by("name", "id")
    return tuple(Meter(row.pk, row.name) for row in rows)


def _last_read(
    plank_set_ids: Collection[int],
    since: datetime | None = None,
    until: datetime | None = None,
) -> dict[int, dict[int, LastRead]]:
    counted = Q()
    if since:
        counted &= Q(read_at__gte=since)
    if until:
        counted &= Q(read_at__lte=until)
    newest = (
        MoistureReading.objects.filter(counted, piece_id=OuterRef("piece_id"))
        .order_by("-read_at")
        .values("read_at")[:1]
    )
    found: dict[int, dict[int, LastRead]] = {}
    for set_id, piece_id, letter, read_at, worst in (
        MoistureReading.objects.filter(
            piece__plank_set_id__in=plank_set_ids, read_at=Subquery(newest)
        )
        .values_list("piece__plank_set_id", "piece_id", "piece__letter", "read_at")
        .annotate(worst=Max("moisture_pct"))
        .order_by("piece__plank_set_id", "piece__letter")
    ):
        # An aggregate comes with as many digits as the database likes.
        pct = Decimal(f"{worst:.2f}")
        found.setdefault(set_id, {})[piece_id] = LastRead(letter, pct, read_at)
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
