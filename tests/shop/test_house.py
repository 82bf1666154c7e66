"""Does the shop's own air come from whoever may say it, and only as air can be?"""

from decimal import Decimal

import pytest

from tests import make
from travelers.kit.refusals import Refused
from travelers.shop.actions import decide_workshop_air
from travelers.shop.models import HouseRules
from travelers.shop.queries import overdue_gauges, workshop_air
from travelers.shop.rules import WORKSHOP_C, WORKSHOP_PCT, OverdueGauges

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


def decide(shop: make.Shop, warm: str, damp: str, by: str = "lead") -> None:
    decide_workshop_air(
        temperature_c=Decimal(warm),
        humidity_pct=Decimal(damp),
        by=shop.cast.people[by],
        at=shop.now,
    )


def test_the_workshops_air_is_the_usual_until_somebody_says_it(shop: make.Shop) -> None:
    assert workshop_air() == (WORKSHOP_C, WORKSHOP_PCT)
    decide(shop, "21.5", "44")
    assert workshop_air() == (Decimal("21.5"), Decimal(44))
    assert overdue_gauges() is OverdueGauges.REFUSE


@pytest.mark.parametrize(("warm", "damp"), [("70", "44"), ("21", "96"), ("4", "40")])
def test_air_that_no_workshop_has_is_refused(
    shop: make.Shop, warm: str, damp: str
) -> None:
    with pytest.raises(Refused) as caught:
        decide(shop, warm, damp)
    assert caught.value.refusal.code == "shop.workshop_cannot_be"
    assert not HouseRules.objects.exists()


def test_who_only_works_here_does_not_say_it(shop: make.Shop) -> None:
    with pytest.raises(Refused) as caught:
        decide(shop, "21", "44", by="joiner")
    assert caught.value.refusal.code == "kit.not_your_role"
    assert not HouseRules.objects.exists()
