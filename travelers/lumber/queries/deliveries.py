"""Which deliveries and planks are there, and what has been cut from them?"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Count, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from travelers.formulas.matching import spread_pct
from travelers.kit.leaves import Leaf, cut_leaf
from travelers.kit.people import has_one_of
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.lumber.models import Delivery, Plank, PlankSet
from travelers.lumber.queries.density import Density, expected_of
from travelers.lumber.queries.papers import PaperRow, papers_of
from travelers.lumber.rules import Expected, Sawn, is_uneven
from travelers.shop.models import Person
from travelers.shop.rules import Role

ON_A_LEAF = 60
# Who takes wood in and has it cut.
WOOD_KEEPERS = (Role.LEAD, Role.PLANNER)


@dataclass(frozen=True, slots=True)
class DeliveryRow:
    number: str
    supplier: str
    species: str
    received_on: date
    planks: int
    sets: int


@dataclass(frozen=True, slots=True)
class DeliveryList:
    rows: tuple[DeliveryRow, ...]
    leaf: Leaf
    may_write: bool


@dataclass(frozen=True, slots=True)
class PlankRow:
    number: str
    code: str
    size: Sawn
    density: Density
    sets: int


@dataclass(frozen=True, slots=True)
class DeliveryPage:
    id: int
    number: str
    supplier: str
    species: str
    latin: str
    expected: Expected | None
    received_on: date
    papers: str
    trade_controlled: bool
    trade_papers: str
    planks: tuple[PlankRow, ...]
    mass_g: int
    sets: int
    files: tuple[PaperRow, ...] | None
    may_write: bool


@dataclass(frozen=True, slots=True)
class PieceRow:
    """A piece; it may not have been weighed yet."""

    id: int
    letter: str
    code: str
    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal
    mass_g: int | None

    @property
    def volume_mm3(self) -> Decimal:
        return self.length_mm * self.width_mm * self.thickness_mm

    @property
    def density_kg_m3(self) -> float | None:
        if self.mass_g is None:
            return None
        return self.mass_g / float(self.volume_mm3) * 1e6


@dataclass(frozen=True, slots=True)
class SetRow:
    """A set with its pieces."""

    id: int
    number: str
    code: str
    purpose: str
    cut_on: date
    pieces: tuple[PieceRow, ...]

    @property
    def density_kg_m3(self) -> float | None:
        """Say the density of all pieces together, once all are weighed."""
        masses = [piece.mass_g for piece in self.pieces if piece.mass_g is not None]
        if not masses or len(masses) < len(self.pieces):
            return None
        whole = sum((piece.volume_mm3 for piece in self.pieces), Decimal(0))
        return sum(masses) / float(whole) * 1e6

    @property
    def spread_pct(self) -> float | None:
        """Say by how much the densities of its pieces differ, once all are weighed."""
        densities = [piece.density_kg_m3 for piece in self.pieces]
        known = [density for density in densities if density is not None]
        if not known or len(known) < len(densities):
            return None
        return spread_pct(known)

    @property
    def is_uneven(self) -> bool:
        return is_uneven(self.spread_pct)


@dataclass(frozen=True, slots=True)
class PlankPage:
    """A plank, what was cut from it, and how much of it is gone."""

    id: int
    number: str
    code: str
    delivery: str
    supplier: str
    species: str
    size: Sawn
    density: Density
    sets: tuple[SetRow, ...]
    gone_mm3: Decimal
    may_write: bool

    @property
    def left_pct(self) -> int:
        """Say how much of the plank's volume is in no piece, kerf and waste with it."""
        return round(100 - 100 * self.gone_mm3 / self.size.volume_mm3)


def deliveries(*, leaf: int, by: Person) -> DeliveryList:
    """List deliveries, the latest first."""
    found = (
        Delivery.objects.select_related("supplier", "species")
        .annotate(
            planks_n=_count(Plank.objects.filter(delivery=OuterRef("pk")), "delivery"),
            sets_n=_count(
                PlankSet.objects.filter(plank__delivery=OuterRef("pk")),
                "plank__delivery",
            ),
        )
        .order_by("-received_on", "-id")
    )
    rows, shown = cut_leaf(found, number=leaf, size=ON_A_LEAF)
    return DeliveryList(
        tuple(
            DeliveryRow(
                row.number,
                row.supplier.name,
                row.species.name,
                row.received_on,
                row.planks_n,
                row.sets_n,
            )
            for row in rows
        ),
        shown,
        may_write(by=by),
    )


def delivery(*, number: str, by: Person) -> DeliveryPage:
    """Give a delivery with its planks in their order."""
    row = _get(Delivery.objects.select_related("supplier", "species"), number)
    expected = expected_of(species=row.species)
    planks = tuple(
        PlankRow(
            plank.number,
            plank.code,
            size := _sawn(plank),
            Density(size.density_kg_m3, expected, _name(plank.looked_at_by)),
            plank.sets_n,
        )
        for plank in row.planks.select_related("looked_at_by")
        .annotate(sets_n=_count(PlankSet.objects.filter(plank=OuterRef("pk")), "plank"))
        .order_by("id")
    )
    return DeliveryPage(
        row.pk,
        row.number,
        row.supplier.name,
        row.species.name,
        row.species.latin,
        expected,
        row.received_on,
        row.papers,
        row.species.trade_controlled,
        row.trade_papers,
        planks,
        sum(plank.size.mass_g for plank in planks),
        sum(plank.sets for plank in planks),
        papers_of(delivery=row, by=by),
        may_write(by=by),
    )


def plank(*, number: str, by: Person) -> PlankPage:
    """Give a plank with its sets and pieces in the order in which they were cut."""
    row = _get(
        Plank.objects.select_related(
            "delivery__supplier", "delivery__species", "looked_at_by"
        ),
        number,
    )
    sets = tuple(
        set_row(plank_set=plank_set)
        for plank_set in row.sets.prefetch_related("pieces").order_by("id")
    )
    size = _sawn(row)
    return PlankPage(
        row.pk,
        row.number,
        row.code,
        row.delivery.number,
        row.delivery.supplier.name,
        row.delivery.species.name,
        size,
        Density(
            size.density_kg_m3,
            expected_of(species=row.delivery.species),
            _name(row.looked_at_by),
        ),
        sets,
        sum((piece.volume_mm3 for one in sets for piece in one.pieces), Decimal(0)),
        may_write(by=by),
    )


def set_row(*, plank_set: PlankSet) -> SetRow:
    """Read a set whose pieces were fetched with it."""
    pieces = tuple(
        PieceRow(
            piece.pk,
            piece.letter,
            piece.code,
            piece.length_mm,
            piece.width_mm,
            piece.thickness_mm,
            piece.mass_g,
        )
        for piece in sorted(plank_set.pieces.all(), key=lambda piece: piece.letter)
    )
    return SetRow(
        plank_set.pk,
        plank_set.number,
        plank_set.code,
        plank_set.purpose,
        plank_set.cut_on,
        pieces,
    )


def get_set(*, number: str) -> SetRow:
    rows = PlankSet.objects.select_related("plank").prefetch_related("pieces")
    return set_row(plank_set=_get(rows, number))


def plank_of_set(*, number: str) -> str:
    return str(_get(PlankSet.objects.select_related("plank"), number).plank.number)


def is_delivery(*, number: str) -> bool:
    return Delivery.objects.filter(number=number).exists()


def may_write(*, by: Person) -> bool:
    return has_one_of(by, WOOD_KEEPERS)


def _get(rows: QuerySet[Any], number: str) -> Any:
    row = rows.filter(number=number).first()
    if row is None:
        raise Refused(NOT_FOUND)
    return row


def _count(rows: QuerySet[Any], key: str) -> Coalesce:
    """Count rows of another table without joining it."""
    counted = rows.order_by().values(key).annotate(n=Count("*")).values("n")
    return Coalesce(Subquery(counted, output_field=IntegerField()), 0)


def _name(person: Person | None) -> str:
    return str(person) if person else ""


def _sawn(plank: Plank) -> Sawn:
    return Sawn(plank.length_mm, plank.width_mm, plank.thickness_mm, plank.mass_g)
