"""Which wood does an order have, and which sets would suit it?"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from travelers.formulas.matching import part_mass_g
from travelers.lumber.models import Piece, PlankSet
from travelers.lumber.queries import driest_limit, drynesses, set_row
from travelers.orders.models import Allotment, WorkOrder
from travelers.orders.rules import Suits, suits
from travelers.routes.models import WoodNeed
from travelers.routes.rules import Branch

MOST_SUITING = 120
# A yard has fewer free sets of a kind than are looked at.
MOST_LOOKED_AT = 1_000


@dataclass(frozen=True, slots=True)
class SetSeen:
    """A set as somebody choosing wood sees it.

    ``density_kg_m3`` is that of its pieces once they are weighed, and until then
    that of its plank. ``body_g`` is what the body of the model would weigh of it, as
    dry as the wood is now; None for a neck, or where nobody knows the body's volume.
    """

    id: int
    number: str
    species: str
    plank: str
    delivery: str
    received_on: date
    density_kg_m3: float
    weighed: bool
    spread_pct: float | None
    is_uneven: bool
    body_g: float | None
    moisture_pct: Decimal | None
    suits: Suits


@dataclass(frozen=True, slots=True)
class Given:
    position: int
    set: SetSeen


@dataclass(frozen=True, slots=True)
class Wood:
    """What one branch of an order is made of, allotted and to be had."""

    branch: Branch
    pieces: int
    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal
    wanted: int
    given: tuple[Given, ...]
    suiting: tuple[SetSeen, ...]
    more: int
    heaviest_g: int | None

    @property
    def lacks(self) -> int:
        return max(0, self.wanted - len(self.given))

    @property
    def at_hand(self) -> int:
        """Say how many of the sets still lacking could be allotted now."""
        return min(self.lacks, len(self.suiting))


def first_suiting(*, order: WorkOrder, branch: str) -> list[int]:
    """Choose what an order still lacks: of the sets that suit the best."""
    need = (
        order.revision.model.wood_needs.filter(branch=branch)
        .select_related("model")
        .first()
    )
    if need is None:
        return []
    given = list(
        order.allotments.filter(branch=branch).values_list(
            "plank_set__plank__delivery__species__name", flat=True
        )
    )
    lacks = order.quantity - len(given)
    return [
        seen.id for seen in best_first(need=need, others=set(given))[: max(0, lacks)]
    ]


def wood_of(*, order: WorkOrder) -> tuple[Wood, ...]:
    """Say for each branch of wood what is allotted and, if some lack, what suits."""
    allotted = list(
        Allotment.objects.filter(order=order)
        .select_related("plank_set__plank__delivery__species")
        .prefetch_related("plank_set__pieces")
        .order_by("position")
    )
    needs = WoodNeed.objects.filter(model_id=order.revision.model_id).select_related(
        "model"
    )
    return tuple(
        _wood(order, need, [row for row in allotted if row.branch == need.branch])
        for need in needs.order_by("branch")
    )


def _wood(order: WorkOrder, need: WoodNeed, allotted: list[Allotment]) -> Wood:
    lacks = order.released_at is None and len(allotted) < order.quantity
    others = {row.plank_set.plank.delivery.species.name for row in allotted}
    suiting = best_first(need=need, others=others) if lacks else []
    return Wood(
        Branch(need.branch),
        need.pieces,
        need.length_mm,
        need.width_mm,
        need.thickness_mm,
        order.quantity,
        tuple(
            Given(row.position, seen)
            for row, seen in zip(
                allotted,
                _all_seen([row.plank_set for row in allotted], need, set()),
                strict=True,
            )
        ),
        tuple(suiting[:MOST_SUITING]),
        max(0, len(suiting) - MOST_SUITING),
        need.model.heaviest_body_g if need.branch == Branch.BODY else None,
    )


def best_first(*, need: WoodNeed, others: Collection[str]) -> list[SetSeen]:
    """Give the sets that suit, the best first, then those that lie here longest."""
    seen = _all_seen(list(_suiting(need)[:MOST_LOOKED_AT]), need, others)
    return sorted(seen, key=lambda one: one.suits.rank)


def _suiting(need: WoodNeed) -> QuerySet[PlankSet]:
    """List free sets, large enough, those that lie here longest first."""
    small = Piece.objects.filter(
        Q(length_mm__lt=need.length_mm)
        | Q(width_mm__lt=need.width_mm)
        | Q(thickness_mm__lt=need.thickness_mm),
        plank_set=OuterRef("pk"),
    )
    return (
        PlankSet.objects.filter(
            ~Exists(small),
            purpose=need.branch,
            allotment__isnull=True,
            held_since__isnull=True,
        )
        .annotate(pieces_n=Count("pieces"))
        .filter(pieces_n=need.pieces)
        .select_related("plank__delivery__species")
        .prefetch_related("pieces")
        .order_by("plank__delivery__received_on", "plank_id", "id")
    )


def seen_for(plank_sets: list[PlankSet], need: WoodNeed) -> list[SetSeen]:
    """Look at sets for a need, beside none that are allotted already."""
    return _all_seen(plank_sets, need, set())


def _all_seen(
    plank_sets: list[PlankSet], need: WoodNeed, others: Collection[str]
) -> list[SetSeen]:
    """Look at sets with what was read of them; one that is half read is not read."""
    dry = drynesses(plank_set_ids=[one.pk for one in plank_sets])
    limit = driest_limit()
    read = {pk: one.worst_pct for pk, one in dry.items() if not one.unread}
    return [_seen(one, need, others, read.get(one.pk), limit) for one in plank_sets]


def _seen(
    plank_set: PlankSet,
    need: WoodNeed,
    others: Collection[str],
    moisture_pct: Decimal | None,
    limit_pct: Decimal | None,
) -> SetSeen:
    plank, row = plank_set.plank, set_row(plank_set=plank_set)
    own = row.density_kg_m3
    whole = float(plank.length_mm * plank.width_mm * plank.thickness_mm)
    density = plank.mass_g / whole * 1e6 if own is None else own
    species = plank.delivery.species.name
    body_g = _body_g(need, density)
    return SetSeen(
        plank_set.pk,
        plank_set.number,
        species,
        plank.number,
        plank.delivery.number,
        plank.delivery.received_on,
        density,
        own is not None,
        row.spread_pct,
        row.is_uneven,
        body_g,
        moisture_pct,
        suits(
            body_g=body_g,
            heaviest_g=need.model.heaviest_body_g,
            is_uneven=row.is_uneven,
            species=species,
            others=others,
            moisture_pct=moisture_pct,
            limit_pct=limit_pct,
        ),
    )


def _body_g(need: WoodNeed, density_kg_m3: float) -> float | None:
    volume = need.model.body_volume_cm3
    if need.branch != Branch.BODY or volume is None:
        return None
    return part_mass_g(density_kg_m3, volume)
