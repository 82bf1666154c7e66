"""How does a delivery come in, and how are its planks cut?"""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from string import ascii_uppercase

from django.db import IntegrityError, transaction

from travelers.kit.refusals import Refused
from travelers.lumber import rules
from travelers.lumber.models import Delivery, Piece, Plank, PlankSet, Species
from travelers.lumber.queries.density import expected_of
from travelers.lumber.rules import Batch, Cut, Purpose, Sawn
from travelers.shop.actions import take_codes

__all__ = [
    "Batch",
    "Cut",
    "Sawn",
    "accept_delivery",
    "add_planks",
    "cut_batches",
    "cut_set",
    "cut_sets",
    "weigh_pieces",
]


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
    """Add planks to a delivery: all of them or, where one cannot be, none."""
    delivery = Delivery.objects.select_for_update().get(pk=delivery_id)
    species = Species.objects.get(pk=delivery.species_id)
    expected = expected_of(species=species)
    for sawn in planks:
        if refused := rules.not_taken(sawn, expected):
            raise Refused(refused)
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
            looked_at_by_id=(
                sawn.looked_at_by if rules.unlikely(sawn, expected) else None
            ),
        )
        for offset, (sawn, code) in enumerate(zip(planks, tags, strict=True))
    )


def cut_set(*, plank_id: int, purpose: Purpose, cut: Cut, cut_on: date) -> PlankSet:
    """Cut one set from one plank; its pieces are lettered and tagged."""
    return cut_sets(
        plank_id=plank_id, purpose=purpose, cut=cut, count=1, cut_on=cut_on
    )[0]


def cut_sets(
    *, plank_id: int, purpose: Purpose, cut: Cut, count: int, cut_on: date
) -> list[PlankSet]:
    """Cut ``count`` like sets from one plank, or none if the wood is not there."""
    batch = Batch(purpose, cut, count)
    return cut_batches(plank_id=plank_id, batches=[batch], cut_on=cut_on)


@transaction.atomic
def cut_batches(
    *,
    plank_id: int,
    batches: Sequence[Batch],
    cut_on: date,
    seen_sets: int | None = None,
) -> list[PlankSet]:
    """Cut sets of several kinds from one plank, all or none, numbered in this order.

    ``seen_sets`` is how many sets the plank had when this was decided; if it has others
    by now, somebody else cut it, or the same was sent twice.
    """
    plank = Plank.objects.select_for_update().get(pk=plank_id)
    had = plank.sets.count()
    if seen_sets not in (None, had):
        raise Refused(rules.CUT_MEANWHILE.about(plank=plank.number))
    if plank.held_since:
        raise Refused(
            rules.PLANK_HELD.about(
                plank=plank.number, since_at=plank.held_since.isoformat()
            )
        )
    _refuse_too_much(plank, batches)
    tags = iter(take_codes(kind="S", count=sum(batch.count for batch in batches)))
    made: list[PlankSet] = []
    for batch in batches:
        sets = PlankSet.objects.bulk_create(
            PlankSet(
                number=f"{plank.number}-{batch.purpose[0]}{had + len(made) + n}",
                code=next(tags),
                plank=plank,
                purpose=batch.purpose,
                cut_on=cut_on,
            )
            for n in range(1, batch.count + 1)
        )
        _letter_pieces(sets, batch.cut)
        made += sets
    return made


@transaction.atomic
def weigh_pieces(*, plank_set_id: int, masses_g: Mapping[int, int]) -> PlankSet:
    """Write down what the pieces of a set weigh; ``masses_g`` is by piece."""
    plank_set = PlankSet.objects.select_for_update().get(pk=plank_set_id)
    pieces = list(plank_set.pieces.filter(pk__in=masses_g).order_by("letter"))
    for piece in pieces:
        mass = masses_g[piece.pk]
        sawn = Sawn(piece.length_mm, piece.width_mm, piece.thickness_mm, mass)
        if doubt := rules.not_wood(sawn):
            raise Refused(doubt)
        piece.mass_g = mass
    Piece.objects.bulk_update(pieces, ["mass_g"])
    return plank_set


def _refuse_too_much(plank: Plank, batches: Sequence[Batch]) -> None:
    whole = Sawn(plank.length_mm, plank.width_mm, plank.thickness_mm, plank.mass_g)
    gone = _gone_mm3(plank)
    for batch in batches:
        refused = rules.does_not_fit(
            plank=plank.number,
            whole=whole,
            gone_mm3=gone,
            cut=batch.cut,
            sets=batch.count,
        )
        if refused:
            raise Refused(refused)
        gone += batch.count * batch.cut.volume_mm3


def _letter_pieces(sets: Sequence[PlankSet], cut: Cut) -> None:
    codes = iter(take_codes(kind="W", count=cut.pieces * len(sets)))
    Piece.objects.bulk_create(
        Piece(
            plank_set=plank_set,
            letter=letter,
            code=next(codes),
            length_mm=cut.length_mm,
            width_mm=cut.width_mm,
            thickness_mm=cut.thickness_mm,
        )
        for plank_set in sets
        for letter in ascii_uppercase[: cut.pieces]
    )


def _gone_mm3(plank: Plank) -> Decimal:
    """Say how much of a plank is in its pieces already."""
    rows = Piece.objects.filter(plank_set__plank=plank).values_list(
        "length_mm", "width_mm", "thickness_mm"
    )
    return sum((a * b * c for a, b, c in rows), Decimal(0))
