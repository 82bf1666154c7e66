"""What stands on the tags of an order, and on the labels of its wood?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.conf import settings
from django.http import Http404

from travelers.floor import queries as floor
from travelers.formulas import codes
from travelers.kit.refusals import Refused
from travelers.lumber.models import Delivery, PlankSet
from travelers.lumber.rules import Purpose
from travelers.orders.models import Part
from travelers.paper.queries.travelers import language
from travelers.paper.rules import NOTHING_TO_PRINT, Size, Stock
from travelers.routes.rules import Branch, in_branch_order


@dataclass(frozen=True, slots=True)
class PartTag:
    """A tag that hangs on a part, or on the instrument once it is joined."""

    code: str
    link: str
    serial: str
    branch: Branch
    shape: str
    model: str
    finish: str
    order: str
    wood: str


@dataclass(frozen=True, slots=True)
class WoodLabel:
    """A label that sticks on a piece, on a bundled set or on a plank."""

    code: str
    link: str
    number: str
    letter: str
    species: str
    branch: Branch | None
    pieces: int
    sizes_mm: tuple[Decimal, Decimal, Decimal]
    mass_g: int | None
    dated_on: date


@dataclass(frozen=True, slots=True)
class BatchLabel:
    """A label that sticks on a can, a bottle or a bundle."""

    code: str
    link: str
    number: str
    material: str
    received_on: date
    expires_on: date | None


@dataclass(frozen=True, slots=True)
class BatchSheet:
    name: str
    labels: tuple[BatchLabel, ...]
    size: Size
    stock: Stock
    language: str


@dataclass(frozen=True, slots=True)
class TagSheet:
    name: str
    tags: tuple[PartTag, ...]
    size: Size
    stock: Stock
    language: str


@dataclass(frozen=True, slots=True)
class LabelSheet:
    name: str
    labels: tuple[WoodLabel, ...]
    size: Size
    stock: Stock
    language: str


def order_tags(
    *, number: str, serials: Sequence[str], size: Size, stock: Stock
) -> TagSheet:
    """Give the four tags of each instrument, instrument by instrument."""
    rows = (
        Part.objects.in_use()
        .filter(instrument__serial__in=serials)
        .select_related("instrument__order", "instrument__revision__model", "plank_set")
    )
    parts = sorted(in_branch_order(rows), key=lambda part: part.instrument.position)
    return TagSheet(
        number, tuple(_part_tag(part) for part in parts), size, stock, language()
    )


def part_tag(*, code: str, size: Size, stock: Stock) -> TagSheet:
    """Give the tag of one part, such as one that is made anew."""
    part = (
        Part.objects.in_use()
        .filter(code=code)
        .select_related("instrument__order", "instrument__revision__model", "plank_set")
        .first()
    )
    if part is None:
        raise Http404(code)
    number = part.instrument.order.number
    return TagSheet(number, (_part_tag(part),), size, stock, language())


def piece_labels(*, number: str, size: Size, stock: Stock) -> LabelSheet:
    """Give a label for the bundled set, and one for each of its pieces."""
    plank_set = (
        PlankSet.objects.filter(number=number)
        .select_related("plank__delivery__species")
        .prefetch_related("pieces")
        .first()
    )
    if plank_set is None:
        raise Http404(number)
    labels = tuple(_wood_labels(plank_set))
    return LabelSheet(number, labels, size, stock, language())


def plank_labels(*, number: str, size: Size, stock: Stock) -> LabelSheet:
    """Give a label for each plank of a delivery."""
    delivery = Delivery.objects.filter(number=number).select_related("species").first()
    if delivery is None:
        raise Http404(number)
    labels = tuple(
        WoodLabel(
            code=plank.code,
            link=codes.link(plank.code, settings.PUBLIC_ORIGIN),
            number=plank.number,
            letter="",
            species=delivery.species.name,
            branch=None,
            pieces=1,
            sizes_mm=(plank.length_mm, plank.width_mm, plank.thickness_mm),
            mass_g=plank.mass_g,
            dated_on=delivery.received_on,
        )
        for plank in delivery.planks.order_by("number")
    )
    if not labels:
        raise Refused(NOTHING_TO_PRINT)
    return LabelSheet(number, labels, size, stock, language())


def batch_label(*, code: str, size: Size, stock: Stock) -> BatchSheet:
    """Give the label of a batch."""
    batch = floor.find_batch(code=code)
    if batch is None:
        raise Http404(code)
    (named,) = floor.batches_named(batch_ids=[batch.batch_id])
    label = BatchLabel(
        code=code,
        link=codes.link(code, settings.PUBLIC_ORIGIN),
        number=batch.number,
        material=batch.material,
        received_on=named.received_on,
        expires_on=batch.expires_on,
    )
    return BatchSheet(batch.number, (label,), size, stock, language())


def _part_tag(part: Part) -> PartTag:
    instrument = part.instrument
    return PartTag(
        code=part.code,
        link=codes.link(part.code, settings.PUBLIC_ORIGIN),
        serial=instrument.serial,
        branch=Branch(part.branch),
        shape=instrument.revision.model.shape,
        model=instrument.revision.model.name,
        finish=instrument.order.finish,
        order=instrument.order.number,
        wood=part.plank_set.number if part.plank_set else "",
    )


def _wood_labels(plank_set: PlankSet) -> list[WoodLabel]:
    pieces = sorted(plank_set.pieces.all(), key=lambda piece: piece.letter)
    first = pieces[0]
    whole = [(plank_set.code, "", len(pieces), first, None)]
    each = [(piece.code, piece.letter, 1, piece, piece.mass_g) for piece in pieces]
    return [
        WoodLabel(
            code=code,
            link=codes.link(code, settings.PUBLIC_ORIGIN),
            number=plank_set.number,
            letter=letter,
            species=plank_set.plank.delivery.species.name,
            branch=Branch(Purpose(plank_set.purpose)),
            pieces=count,
            sizes_mm=(piece.length_mm, piece.width_mm, piece.thickness_mm),
            mass_g=mass,
            dated_on=plank_set.cut_on,
        )
        for code, letter, count, piece, mass in [*whole, *each]
    ]
