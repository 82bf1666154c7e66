"""Is the best wood offered first, and is it said why?"""

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client

from tests import make
from tests.desk import client, page_of, sets, text_of
from travelers.lumber.actions import (
    Cut,
    Sawn,
    accept_delivery,
    cut_set,
    weigh_pieces,
)
from travelers.lumber.models import PlankSet, Room, Species, Supplier
from travelers.lumber.rules import MOST_SPREAD_PCT, Purpose, is_uneven
from travelers.orders.actions import allot
from travelers.orders.queries import first_suiting
from travelers.orders.rules import suits

pytestmark = pytest.mark.django_db

SAID = {
    "body_g": 2000.0,
    "heaviest_g": 2300,
    "is_uneven": False,
    "species": "ash",
    "others": {"ash"},
    "limit_pct": Decimal(7),
}


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        ({}, {"body_g": 2300.1}),
        ({}, {"is_uneven": True}),
        ({}, {"species": "alder"}),
        ({"is_uneven": True, "species": "alder"}, {"body_g": 2400.0}),
        ({"species": "alder"}, {"is_uneven": True}),
        ({"moisture_pct": Decimal("6.9")}, {}),
        ({"moisture_pct": Decimal("6.9")}, {"moisture_pct": Decimal(7)}),
        (
            {"moisture_pct": Decimal(12)},
            {"species": "alder", "moisture_pct": Decimal(6)},
        ),
    ],
)
def test_a_set_that_suits_less_goes_behind(better, worse) -> None:
    assert suits(**(SAID | better)).rank < suits(**(SAID | worse)).rank


def test_the_limit_belongs_to_what_is_light_enough() -> None:
    assert suits(**(SAID | {"body_g": 2300.0})).is_too_heavy is False


@pytest.mark.parametrize("unknown", [{"body_g": None}, {"heaviest_g": None}])
def test_what_nobody_knows_speaks_against_no_set(unknown) -> None:
    told = suits(**(SAID | unknown | {"others": set()}))
    assert told.is_too_heavy is None
    assert told.is_like_the_others is None
    assert told.is_dry is None
    assert told.rank == (False, False, False, True)


def test_pieces_are_uneven_beyond_the_spread_alone() -> None:
    assert not is_uneven(None)
    assert not is_uneven(MOST_SPREAD_PCT)
    assert is_uneven(MOST_SPREAD_PCT + 0.1)


@pytest.fixture
def planner(shop: make.Shop) -> Client:
    return client(shop, "planner")


def body(shop: make.Shop, *masses_g: int, species: str = "ASH") -> PlankSet:
    """Cut a body set of two pieces of 4.42 dm³ and weigh them."""
    shop.planks += 1
    delivery = accept_delivery(
        number=f"M{shop.planks:03}",
        supplier_id=Supplier.objects.get().pk,
        species_id=Species.objects.get(code=species).pk,
        received_on=date(2026, 1, shop.planks),
        planks=[Sawn(Decimal(3000), Decimal(200), Decimal(60), 22_000)],
    )
    made = cut_set(
        plank_id=delivery.planks.get().pk,
        purpose=Purpose.BODY,
        cut=Cut(2, Decimal(520), Decimal(170), Decimal(50)),
        cut_on=date(2026, 2, 1),
    )
    pieces = made.pieces.order_by("letter").values_list("pk", flat=True)
    weigh_pieces(
        plank_set_id=made.pk, masses_g=dict(zip(pieces, masses_g, strict=False))
    )
    return made


def test_the_order_offers_the_best_first_and_says_why(
    shop: make.Shop, planner: Client
) -> None:
    shop.model.body_volume_cm3, shop.model.heaviest_body_g = 4000, 2300
    shop.model.save()
    Species.objects.create(code="ALDER", name="alder", latin="Alnus rubra")
    heavy = body(shop, 2700, 2700)
    uneven = body(shop, 2200, 2600)
    other = body(shop, 2300, 2300, species="ALDER")
    best = body(shop, 2300, 2400)
    given = body(shop, 2300, 2300)
    order = shop.order(3)
    allot(order_id=order.pk, plank_set_id=given.pk)
    answer = planner.get(f"/orders/{order.number}/")
    wood, _neck = page_of(answer).wood
    assert [seen.id for seen in wood.suiting] == [
        best.pk,
        other.pk,
        uneven.pk,
        heavy.pk,
    ]
    # 2,700 g of 520 × 170 × 50 mm are 610.9 kg/m³: 4,000 cm³ of it weigh 2,443 g.
    assert wood.suiting[-1].body_g == pytest.approx(2443.4, abs=0.1)
    # 2,200 and 2,600 g differ by 400 of 2,400 g.
    assert wood.suiting[2].spread_pct == pytest.approx(16.67, abs=0.01)
    said = text_of(answer)
    for why in (
        "heavier than 2300 g",
        "pieces differ: look at them",
        "another species",
    ):
        assert said.count(why) == 1
    assert said.count("same species") == 3
    chosen = first_suiting(order=order, branch="BODY")
    assert chosen == [best.pk, other.pk]


def test_what_is_dry_already_comes_before_what_lies_here_longer(
    shop: make.Shop, planner: Client
) -> None:
    Room.objects.create(station=shop.cast.stations["ROOM"], limit_pct=Decimal(7))
    unread, wet, dry = (body(shop, 2300, 2300) for _ in range(3))
    shop.read_wood(wet, "11.4", "6.9")
    shop.read_wood(dry, "6.8", "6.9")
    answer = planner.get(f"/orders/{shop.order(2).number}/")
    wood, _neck = page_of(answer).wood
    assert [(seen.id, seen.moisture_pct) for seen in wood.suiting] == [
        (dry.pk, Decimal("6.9")),
        (unread.pk, None),
        (wet.pk, Decimal("11.4")),
    ]
    assert text_of(answer).count("<li>dry already") == 1


def test_a_set_that_is_too_small_is_not_offered(
    shop: make.Shop, planner: Client
) -> None:
    small, enough = sets(shop, "BODY", 2)
    small.pieces.filter(letter="B").update(width_mm=Decimal(169))
    order = shop.order(2)
    wood, _neck = page_of(planner.get(f"/orders/{order.number}/")).wood
    assert [seen.id for seen in wood.suiting] == [enough.pk]


def test_without_the_volume_no_mass_is_said(shop: make.Shop, planner: Client) -> None:
    body(shop, 2300, 2300)
    order = shop.order(1)
    wood, neck = page_of(planner.get(f"/orders/{order.number}/")).wood
    assert wood.suiting[0].body_g is None
    assert wood.suiting[0].suits.is_too_heavy is None
    assert neck.heaviest_g is None


def test_the_plank_says_how_far_its_pieces_differ(
    shop: make.Shop, planner: Client
) -> None:
    uneven, half = body(shop, 2200, 2600), body(shop, 2300)
    said = text_of(planner.get(f"/lumber/plank/{uneven.plank.number}/"))
    assert "pieces differ by 17 %: look at them" in said
    said = text_of(planner.get(f"/lumber/plank/{half.plank.number}/"))
    assert "pieces differ" not in said
