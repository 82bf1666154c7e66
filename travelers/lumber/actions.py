"""How does wood come in, and how are sets cut from it?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from string import ascii_uppercase

from django.db import IntegrityError, transaction

from travelers.kit.refusals import Refused
from travelers.lumber import rules
from travelers.lumber.models import Delivery, Piece, Plank, PlankSet, Species
from travelers.lumber.rules import Purpose
from travelers.shop.actions import take_codes


@dataclass(frozen=True, slots=True)
class Sawn:
    """Sizes in mm and mass in g of a plank as it came in."""

    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal
    mass_g: int


@dataclass(frozen=True, slots=True)
class Cut:
    """How many pieces of which size a set has."""

    pieces: int
    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal

    @property
    def volume_mm3(self) -> Decimal:
        return self.pieces * self.length_mm * self.width_mm * self.thickness_mm


@transaction.atomic
def accept_delivery(
    *,
    number: str,
    supplier_id: int,
    species_id: int,
    received_on: date,
    papers: str = "",
    trade_papers: str = "",
    planks: Sequence[Sawn] = (),
) -> Delivery:
    """Take a delivery in with its planks; each plank gets a number and a tag."""
    species = Species.objects.get(pk=species_id)
    if species.trade_controlled and not trade_papers.strip():
        raise Refused(rules.TRADE_PAPERS_MISSING.about(species=species.name))
    try:
        with transaction.atomic():
            delivery = Delivery.objects.create(
                number=number,
                supplier_id=supplier_id,
                species=species,
                received_on=received_on,
                papers=papers,
                trade_papers=trade_papers,
            )
    except IntegrityError as fault:
        raise Refused(rules.NUMBER_TAKEN.about(number=number)) from fault
    add_planks(delivery_id=delivery.pk, planks=planks)
    return delivery


@transaction.atomic
def add_planks(*, delivery_id: int, planks: Sequence[Sawn]) -> list[Plank]:
    delivery = Delivery.objects.select_for_update().get(pk=delivery_id)
    first = delivery.planks.count() + 1
    tags = take_codes(kind="K", count=len(planks)) if planks else []
    return Plank.objects.bulk_create(
        Plank(
            number=f"{delivery.number}-{first + offset:02}",
            code=code,
            delivery=delivery,
            length_mm=sawn.length_mm,
            width_mm=sawn.width_mm,
            thickness_mm=sawn.thickness_mm,
            mass_g=sawn.mass_g,
        )
        for offset, (sawn, code) in enumerate(zip(planks, tags, strict=True))
    )


@transaction.atomic
def cut_set(*, plank_id: int, purpose: Purpose, cut: Cut, cut_on: date) -> PlankSet:
    """Cut one set from one plank; its pieces are lettered and tagged."""
    plank = Plank.objects.select_for_update().get(pk=plank_id)
    if not _fits(plank, cut):
        raise Refused(
            rules.DOES_NOT_FIT.about(
                pieces=str(cut.pieces),
                length=f"{cut.length_mm:f}",
                width=f"{cut.width_mm:f}",
                plank=plank.number,
            )
        )
    plank_set = PlankSet.objects.create(
        number=f"{plank.number}-{purpose[0]}{plank.sets.count() + 1}",
        code=take_codes(kind="S", count=1)[0],
        plank=plank,
        purpose=purpose,
        cut_on=cut_on,
    )
    codes = take_codes(kind="W", count=cut.pieces)
    Piece.objects.bulk_create(
        Piece(
            plank_set=plank_set,
            letter=letter,
            code=code,
            length_mm=cut.length_mm,
            width_mm=cut.width_mm,
            thickness_mm=cut.thickness_mm,
        )
        for letter, code in zip(ascii_uppercase, codes, strict=False)
    )
    return plank_set


def _fits(plank: Plank, cut: Cut) -> bool:
    """Say whether the wood is there; the exact layout is the sawyer's."""
    whole = plank.length_mm * plank.width_mm * plank.thickness_mm
    gone = sum(
        (
            piece.length_mm * piece.width_mm * piece.thickness_mm
            for piece in Piece.objects.filter(plank_set__plank=plank)
        ),
        Decimal(0),
    )
    return bool(
        cut.length_mm <= plank.length_mm
        and cut.width_mm <= plank.width_mm
        and cut.thickness_mm <= plank.thickness_mm
        and gone + cut.volume_mm3 <= whole
    )
