"""Is it said where a size is measured in wood that is not dry, and so will change?"""

from decimal import Decimal

import pytest
import time_machine

from tests import make
from tests.desk import client, main_of
from tests.floor.story import at
from travelers.floor.rules import Wish
from travelers.lumber.models import Room, Species
from travelers.orders.models import Part
from travelers.routes.models import Characteristic

pytestmark = pytest.mark.django_db
SAYS = "Until it has 7.0 % it shrinks by"


@pytest.fixture
def body(shop: make.Shop) -> Part:
    """Give a body whose pocket is cut; the shop's rooms dry wood to 7 %."""
    Room.objects.create(station=shop.cast.stations["ROOM"], limit_pct=Decimal(7))
    Species.objects.filter(code="ASH").update(handbook_name="Ash, white")
    step = at(shop, shop.part(shop.instruments(1)[0]), "Machine")
    shop.must(Wish.START, step)
    return step.part


def read(shop: make.Shop, body: Part, *shown: str) -> None:
    assert body.plank_set
    shop.later(hours=1)
    shop.read_wood(body.plank_set, *shown)


def keypad(shop: make.Shop, body: Part) -> str:
    check = Characteristic.objects.get(operation__name="Machine")
    step = shop.step_of(body)
    assert step
    with time_machine.travel(shop.now, tick=False):
        answer = client(shop, "joiner").get(
            f"/station/CUTTER/?code={body.code}&step={step.pk}&check={check.pk}"
        )
    assert check.name in main_of(answer)
    return " ".join(main_of(answer).split())


def test_a_pocket_in_wet_wood_says_how_much_it_will_shrink(
    shop: make.Shop, body: Part
) -> None:
    """The Wood Handbook's change: size × coefficient × points (FPL-GTR-190, 13-18).

    White ash: 0.00169 across the rings and 0.00274 along them, so 56.10 mm from 11 to
    7 % shrinks by 0.379 and 0.615 mm.
    """
    read(shop, body, "10.2", "11.0")
    assert f"This wood read 11.0 %. {SAYS} 0.38 … 0.61 mm more." in keypad(shop, body)


def test_dry_wood_says_nothing(shop: make.Shop, body: Part) -> None:
    read(shop, body, "6.2", "6.4")
    assert SAYS not in keypad(shop, body)


def test_a_species_without_published_coefficients_says_nothing(
    shop: make.Shop, body: Part
) -> None:
    Species.objects.update(handbook_name="")
    read(shop, body, "10.2", "11.0")
    assert SAYS not in keypad(shop, body)


def test_a_change_that_no_gauge_shows_is_not_spoken_of(
    shop: make.Shop, body: Part
) -> None:
    """At 7.0 % it is not below the limit, and nothing is to come."""
    read(shop, body, "7.0", "7.0")
    assert SAYS not in keypad(shop, body)
