"""Does wood come in whole, and is no more cut from a plank than it has?"""

from datetime import date
from decimal import Decimal

import pytest

from tests import make
from travelers.formulas import codes
from travelers.kit.refusals import Refused
from travelers.lumber.actions import (
    Cut,
    Sawn,
    accept_delivery,
    add_planks,
    cut_set,
    cut_sets,
    weigh_pieces,
)
from travelers.lumber.models import Delivery, Piece, Plank, PlankSet, Species, Supplier
from travelers.lumber.rules import Purpose, does_not_fit, not_wood

pytestmark = pytest.mark.django_db

DAY = date(2026, 3, 10)
PLANK = Sawn(Decimal(3000), Decimal(200), Decimal(60), 22_000)
BODY = Cut(2, Decimal(520), Decimal(170), Decimal(50))


def accept(shop: make.Shop, number: str = "D1", **more) -> Delivery:
    given = {
        "number": number,
        "supplier_id": Supplier.objects.get().pk,
        "species_id": Species.objects.get(code="ASH").pk,
        "received_on": DAY,
        "planks": [PLANK, PLANK],
    }
    return accept_delivery(**(given | more))


def refused(code: str, call, **given) -> None:
    with pytest.raises(Refused) as no:
        call(**given)
    assert no.value.refusal.code == code


def test_planks_are_numbered_on_and_each_has_a_tag_of_its_own(shop: make.Shop) -> None:
    delivery = accept(shop)
    more = add_planks(delivery_id=delivery.pk, planks=[PLANK])
    numbers = list(delivery.planks.order_by("id").values_list("number", flat=True))
    assert numbers == ["D1-01", "D1-02", "D1-03"]
    tags = set(Plank.objects.values_list("code", flat=True))
    assert len(tags) == 3
    assert all(codes.is_right(tag) and tag.startswith("K") for tag in tags)
    assert more[0].number == "D1-03"


def test_wood_under_trade_control_comes_in_with_its_papers_only(
    shop: make.Shop,
) -> None:
    rose = Species.objects.get(code="ROSE").pk
    refused(
        "lumber.trade_papers_missing", accept, shop=shop, species_id=rose, number="R1"
    )
    assert not Delivery.objects.exists()
    assert accept(shop, "R1", species_id=rose, trade_papers="EU-7").pk


def test_a_number_is_taken_once_and_its_planks_stay_as_they_were(
    shop: make.Shop,
) -> None:
    accept(shop)
    refused("lumber.number_taken", accept, shop=shop)
    assert Plank.objects.count() == 2


def test_a_delivery_with_one_impossible_plank_comes_in_not_at_all(
    shop: make.Shop,
) -> None:
    slipped = Sawn(Decimal(3000), Decimal(200), Decimal(60), 220_000)
    refused("lumber.cannot_be_wood", accept, shop=shop, planks=[PLANK, slipped])
    assert (Delivery.objects.count(), Plank.objects.count()) == (0, 0)


def test_a_set_is_lettered_and_tagged(shop: make.Shop) -> None:
    plank = accept(shop).planks.first()
    made = cut_set(plank_id=plank.pk, purpose=Purpose.BODY, cut=BODY, cut_on=DAY)
    assert made.number == "D1-01-B1"
    pieces = list(made.pieces.order_by("letter").values_list("letter", "code"))
    assert [letter for letter, _ in pieces] == ["A", "B"]
    assert all(codes.is_right(code) and code[0] == "W" for _, code in pieces)


def test_like_sets_are_cut_together_or_not_at_all(shop: make.Shop) -> None:
    plank = accept(shop).planks.first()
    given = {
        "plank_id": plank.pk,
        "purpose": Purpose.BODY,
        "cut": BODY,
        "cut_on": DAY,
    }
    # 3000 × 200 × 60 mm³ holds four sets of two pieces of 520 × 170 × 50 mm³.
    refused("lumber.does_not_fit", cut_sets, count=5, **given)
    assert (PlankSet.objects.count(), Piece.objects.count()) == (0, 0)
    made = cut_sets(count=4, **given)
    assert [one.number for one in made] == [f"D1-01-B{n}" for n in (1, 2, 3, 4)]
    assert Piece.objects.count() == 8
    refused("lumber.does_not_fit", cut_sets, count=1, **given)


@pytest.mark.parametrize(
    ("size", "sets", "fits"),
    [
        ((520, 170, 50), 4, True),
        ((520, 170, 50), 5, False),
        ((3001, 10, 10), 1, False),
        ((10, 201, 10), 1, False),
        ((10, 10, 61), 1, False),
        ((3000, 200, 30), 1, True),
    ],
)
def test_what_fits_a_plank(size: tuple[int, int, int], sets: int, fits: bool) -> None:
    cut = Cut(2, *map(Decimal, size))
    told = does_not_fit(
        plank="D1-01", whole=PLANK, gone_mm3=Decimal(0), cut=cut, sets=sets
    )
    assert (told is None) is fits


# A cubic decimetre of the wood weighs what its density says: 100 and 1500 kg/m³ are
# the last that are believed.
@pytest.mark.parametrize(
    ("mass_g", "believed"), [(99, False), (100, True), (1500, True), (1501, False)]
)
def test_which_masses_are_believed(mass_g: int, believed: bool) -> None:
    cube = Sawn(Decimal(100), Decimal(100), Decimal(100), mass_g)
    assert (not_wood(cube) is None) is believed


def test_pieces_are_weighed_all_or_none(shop: make.Shop) -> None:
    made = shop.plank_set()
    first, second = made.pieces.order_by("letter")
    refused(
        "lumber.cannot_be_wood",
        weigh_pieces,
        plank_set_id=made.pk,
        masses_g={first.pk: 2700, second.pk: 27},
    )
    assert set(made.pieces.values_list("mass_g", flat=True)) == {None}
    weigh_pieces(plank_set_id=made.pk, masses_g={second.pk: 2650})
    assert list(made.pieces.order_by("letter").values_list("mass_g", flat=True)) == [
        None,
        2650,
    ]


def test_a_piece_of_another_set_is_not_weighed(shop: make.Shop) -> None:
    made, other = shop.plank_set(), shop.plank_set()
    weigh_pieces(plank_set_id=made.pk, masses_g={other.pieces.first().pk: 2700})
    assert set(other.pieces.values_list("mass_g", flat=True)) == {None}
