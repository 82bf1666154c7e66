"""Which parts are made anew and want wood, and which sets would suit them?"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from travelers.orders.models import Part
from travelers.orders.queries.wood import (
    MOST_SUITING,
    SetSeen,
    best_first,
    seen_for,
)
from travelers.orders.rules import InstrumentState
from travelers.routes.models import WoodNeed
from travelers.routes.rules import Branch


@dataclass(frozen=True, slots=True)
class Wanting:
    """A part that is made anew and has no wood yet; ``since`` the old one is scrap."""

    serial: str
    model: str
    order: str
    due_on: date
    branch: Branch
    code: str
    since: datetime | None


@dataclass(frozen=True, slots=True)
class WoodInstead:
    """What suits a part that is made anew, beside what the one before was made of."""

    part: Wanting
    old_code: str
    wants_wood: bool
    given: str
    branch: Branch
    pieces: int
    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal
    before: SetSeen | None
    suiting: tuple[SetSeen, ...]
    more: int
    heaviest_g: int | None


def parts_wanting_wood() -> tuple[Wanting, ...]:
    """List the parts that want wood, what is due first before all else."""
    rows = (
        Part.objects.in_use()
        .filter(wants_wood=True, instrument__state=InstrumentState.OPEN)
        .select_related("instrument__order", "instrument__revision__model")
        .select_related("instead_of")
    )
    return tuple(
        _wanting(row) for row in rows.order_by("instrument__order__due_on", "pk")
    )


def wood_instead(*, serial: str, code: str) -> WoodInstead | None:
    """Look up a part that is made anew; None where none is, or no wood is in it.

    Sets that suit best come first; of equal ones that whose density is nearest to the
    old set's (common practice, no source).
    """
    part = (
        Part.objects.filter(code=code, instrument__serial=serial)
        .select_related("instrument__order", "instrument__revision__model")
        .select_related("instead_of__plank_set__plank__delivery__species", "plank_set")
        .first()
    )
    if part is None or part.instead_of is None:
        return None
    need = (
        WoodNeed.objects.filter(
            model_id=part.instrument.revision.model_id, branch=part.branch
        )
        .select_related("model")
        .first()
    )
    if need is None:
        return None
    old = part.instead_of.plank_set
    before = seen_for([old], need)[0] if old else None
    suiting = _matching(need, before) if part.wants_wood else []
    return WoodInstead(
        part=_wanting(part),
        old_code=part.instead_of.code,
        wants_wood=part.wants_wood,
        given=part.plank_set.number if part.plank_set else "",
        branch=Branch(part.branch),
        pieces=need.pieces,
        length_mm=need.length_mm,
        width_mm=need.width_mm,
        thickness_mm=need.thickness_mm,
        before=before,
        suiting=tuple(suiting[:MOST_SUITING]),
        more=max(0, len(suiting) - MOST_SUITING),
        heaviest_g=need.model.heaviest_body_g if need.branch == Branch.BODY else None,
    )


def _matching(need: WoodNeed, before: SetSeen | None) -> list[SetSeen]:
    if before is None:
        return best_first(need=need, others=())
    return sorted(
        best_first(need=need, others={before.species}),
        key=lambda one: (
            one.suits.rank,
            abs(one.density_kg_m3 - before.density_kg_m3),
        ),
    )


def _wanting(row: Part) -> Wanting:
    one = row.instrument
    return Wanting(
        one.serial,
        one.revision.model.name,
        one.order.number,
        one.order.due_on,
        Branch(row.branch),
        row.code,
        row.instead_of.scrapped_at if row.instead_of else None,
    )
