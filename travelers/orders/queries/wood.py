"""Which wood does an order have, and which sets would suit it?"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, QuerySet

from travelers.lumber.models import PlankSet
from travelers.lumber.queries import set_row
from travelers.orders.models import Allotment, WorkOrder
from travelers.routes.models import WoodNeed
from travelers.routes.rules import Branch

MOST_SUITING = 120


@dataclass(frozen=True, slots=True)
class SetSeen:
    """A set as somebody choosing wood sees it.

    ``density_kg_m3`` is that of its pieces once they are weighed, and until then
    that of its plank.
    """

    id: int
    number: str
    species: str
    plank: str
    delivery: str
    received_on: date
    density_kg_m3: float
    weighed: bool


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

    @property
    def lacks(self) -> int:
        return max(0, self.wanted - len(self.given))

    @property
    def at_hand(self) -> int:
        """Say how many of the sets still lacking could be allotted now."""
        return min(self.lacks, len(self.suiting))


def first_suiting(*, order: WorkOrder, branch: str) -> list[int]:
    """Choose what an order still lacks: of the sets that suit those lying longest."""
    need = order.revision.model.wood_needs.filter(branch=branch).first()
    if need is None:
        return []
    lacks = order.quantity - order.allotments.filter(branch=branch).count()
    return [plank_set.pk for plank_set in _suiting(need)[: max(0, lacks)]]


def wood_of(*, order: WorkOrder) -> tuple[Wood, ...]:
    """Say for each branch of wood what is allotted and, if some lack, what suits."""
    allotted = list(
        Allotment.objects.filter(order=order)
        .select_related("plank_set__plank__delivery__species")
        .prefetch_related("plank_set__pieces")
        .order_by("position")
    )
    needs = WoodNeed.objects.filter(model_id=order.revision.model_id)
    return tuple(
        _wood(order, need, [row for row in allotted if row.branch == need.branch])
        for need in needs.order_by("branch")
    )


def _wood(order: WorkOrder, need: WoodNeed, allotted: list[Allotment]) -> Wood:
    lacks = order.released_at is None and len(allotted) < order.quantity
    suiting = list(_suiting(need)[: MOST_SUITING + 1]) if lacks else []
    return Wood(
        Branch(need.branch),
        need.pieces,
        need.length_mm,
        need.width_mm,
        need.thickness_mm,
        order.quantity,
        tuple(Given(row.position, _seen(row.plank_set)) for row in allotted),
        tuple(_seen(plank_set) for plank_set in suiting[:MOST_SUITING]),
        max(0, len(suiting) - MOST_SUITING),
    )


def _suiting(need: WoodNeed) -> QuerySet[PlankSet]:
    """List the free sets of the right wood, those that lie here longest first."""
    return (
        PlankSet.objects.filter(purpose=need.branch, allotment__isnull=True)
        .annotate(pieces_n=Count("pieces"))
        .filter(pieces_n=need.pieces)
        .select_related("plank__delivery__species")
        .prefetch_related("pieces")
        .order_by("plank__delivery__received_on", "plank_id", "id")
    )


def _seen(plank_set: PlankSet) -> SetSeen:
    plank = plank_set.plank
    own = set_row(plank_set=plank_set).density_kg_m3
    whole = float(plank.length_mm * plank.width_mm * plank.thickness_mm)
    return SetSeen(
        plank_set.pk,
        plank_set.number,
        plank.delivery.species.name,
        plank.number,
        plank.delivery.number,
        plank.delivery.received_on,
        plank.mass_g / whole * 1e6 if own is None else own,
        own is not None,
    )
