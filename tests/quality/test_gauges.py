"""Does QA see which gauges are due, and decide what becomes of overdue ones?"""

from datetime import UTC, datetime
from typing import Any

import pytest
import time_machine
from django.test import Client

from tests import make
from travelers.kit.refusals import Refused
from travelers.shop.actions import decide_overdue_gauges
from travelers.shop.models import HouseRules
from travelers.shop.queries import overdue_gauges
from travelers.shop.rules import OverdueGauges

pytestmark = pytest.mark.django_db
URL = "/quality/gauges/"
NOW = datetime(2026, 3, 10, 9, 0, tzinfo=UTC)


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


def ask(shop: make.Shop, who: str, **sent: str) -> Any:
    client = Client()
    client.force_login(shop.cast.people[who])
    with time_machine.travel(NOW, tick=False):
        return client.post(URL, sent, follow=True) if sent else client.get(URL)


def test_gauges_stand_by_their_due_days_and_overdue_ones_say_so(
    shop: make.Shop,
) -> None:
    page = ask(shop, "joiner").content.decode()
    assert page.index("old caliper") < page.index(">meter<")
    assert page.count("<b>overdue</b>") == 1
    assert "31 Jan 2026" in page
    assert "refuse the reading" in page
    assert "<form method" not in page.split("<main")[1]


@pytest.mark.parametrize("who", ["qa", "admin"])
def test_who_keeps_the_rule_decides_it_for_all(shop: make.Shop, who: str) -> None:
    assert overdue_gauges() is OverdueGauges.REFUSE
    answer = ask(shop, who, overdue_gauges="MARK")
    assert "Decided, for readings from now on." in answer.content.decode()
    assert overdue_gauges() is OverdueGauges.MARK
    row = HouseRules.objects.get()
    assert (row.changed_by.username, row.changed_at) == (who, NOW)
    ask(shop, who, overdue_gauges="REFUSE")
    assert overdue_gauges() is OverdueGauges.REFUSE
    assert HouseRules.objects.count() == 1


@pytest.mark.parametrize("who", ["joiner", "lead", "planner"])
def test_nobody_else_decides_it(shop: make.Shop, who: str) -> None:
    assert ask(shop, who, overdue_gauges="MARK").status_code == 403
    with pytest.raises(Refused):
        decide_overdue_gauges(
            decision=OverdueGauges.MARK, by=shop.cast.people[who], at=NOW
        )
    assert not HouseRules.objects.exists()


def test_what_is_no_choice_is_asked_again(shop: make.Shop) -> None:
    assert ask(shop, "qa", overdue_gauges="LEND").status_code == 422
    assert not HouseRules.objects.exists()
