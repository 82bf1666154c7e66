"""What became of a plank, and which model's sets would it still give?"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from travelers.lumber import queries as lumber
from travelers.lumber.queries import PlankPage as Plank
from travelers.lumber.queries import SetRow
from travelers.lumber.rules import Cut, does_not_fit
from travelers.orders.models import Allotment, Part
from travelers.routes.models import WoodNeed
from travelers.routes.rules import Branch
from travelers.shop.models import Person

# More sets than this are not cut at once; a plank seldom gives as many.
MOST_SETS = 20


@dataclass(frozen=True, slots=True)
class Fate:
    """A set and what it became: nothing yet, promised to an order, or a part."""

    set: SetRow
    order: str
    serial: str


@dataclass(frozen=True, slots=True)
class Need:
    """A model's need of wood, and for how many such sets the plank has volume."""

    id: int
    model: str
    branch: Branch
    cut: Cut
    fits: int
    model_id: int


@dataclass(frozen=True, slots=True)
class PlankPage:
    plank: Plank
    sets: tuple[Fate, ...]
    needs: tuple[Need, ...]

    def need(self, need_id: int) -> Need | None:
        return next((need for need in self.needs if need.id == need_id), None)


def plank_page(*, number: str, by: Person) -> PlankPage:
    plank = lumber.plank(number=number, by=by)
    orders, serials = _orders(plank), _serials(plank)
    return PlankPage(
        plank,
        tuple(
            Fate(one, orders.get(one.id, ""), serials.get(one.id, ""))
            for one in plank.sets
        ),
        tuple(_need(row, plank) for row in _needs()),
    )


def set_page(*, number: str, by: Person) -> tuple[PlankPage, SetRow]:
    """Give the page of the plank that a set was cut from, and the set."""
    page = plank_page(number=lumber.plank_of_set(number=number), by=by)
    return page, next(one for one in page.plank.sets if one.number == number)


def _orders(plank: Plank) -> Mapping[int, str]:
    return dict(
        Allotment.objects.filter(plank_set__plank_id=plank.id)
        .order_by("id")
        .values_list("plank_set_id", "order__number")
    )


def _serials(plank: Plank) -> Mapping[int, str]:
    return dict(
        Part.objects.filter(plank_set__plank_id=plank.id)
        .order_by("id")
        .values_list("plank_set_id", "instrument__serial")
    )


def _needs() -> list[WoodNeed]:
    return list(
        WoodNeed.objects.select_related("model").order_by("branch", "model__name", "id")
    )


def _need(row: WoodNeed, plank: Plank) -> Need:
    cut = Cut(row.pieces, row.length_mm, row.width_mm, row.thickness_mm)
    return Need(
        row.pk, row.model.name, Branch(row.branch), cut, _fits(plank, cut), row.model_id
    )


def _fits(plank: Plank, cut: Cut) -> int:
    if does_not_fit(
        plank=plank.number, whole=plank.size, gone_mm3=Decimal(0), cut=cut, sets=1
    ):
        return 0
    left = plank.size.volume_mm3 - plank.gone_mm3
    return min(MOST_SETS, max(0, int(left // cut.volume_mm3)))
