"""Is each number on the board, the flow and the limits page what the ledger tells?"""

from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.test import Client

from tests import make
from tests.desk import client, main_of, released
from tests.floor import story
from tests.planning.ledger import Ledger
from tests.planning.recount import (
    BRANCHES,
    ENOUGH,
    Recount,
    board_text,
    differences,
    flow_text,
    numbers,
)
from tests.planning.recount_limits import Tries, limits_text, one_more_place
from tests.planning.test_board import some_days
from tests.planning.test_flow import finish
from travelers.floor.rules import Wish
from travelers.formulas import forecast as fc
from travelers.planning.actions import make_forecast
from travelers.planning.queries.flow import closed, page
from travelers.planning.queries.flow.asked import SPANS
from travelers.planning.queries.forecast import floor_now

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("Europe/Berlin")


def lived() -> make.Shop:
    """Tell the ledger's own story, and let the shop build some more."""
    shop = story.tell().shop
    for one in released(shop, 2):
        finish(shop, one)
        shop.later(days=9, minutes=17)
    some_days(shop, released(shop, 3), seed=5)
    whole, part = released(shop, 2)
    shop.later(hours=7)
    for one, only_part in ((whole, False), (part, True)):
        told = {"reason": "grain runs out", "only_part": only_part}
        assert shop.scan(Wish.HOLD, shop.part(one), by="qa", **told).accepted
    return shop


def shown(planner: Client, url: str) -> str:
    """Give the page from its first element on."""
    return main_of(planner.get(url)).partition(">")[2]


def test_every_number_is_recounted_from_the_ledger(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Board, flow and its spans: whatever number stands there, and none besides."""
    for module in (closed, page):
        monkeypatch.setattr(module, "ENOUGH", ENOUGH)
    shop = lived()
    found = Recount(Ledger(), shop.now, ZONE)
    planner = client(shop, "planner")
    with time_machine.travel(shop.now, tick=False):
        board = shown(planner, "/board/")
        assert differences(board, board_text(found)) == []
        for span, of in [
            *((span, "") for span in SPANS),
            *((91, of) for of in BRANCHES),
        ]:
            flow = shown(planner, f"/flow/?days={span}&of={of}")
            told = flow_text(found, span_days=span, spans=SPANS, of=of)
            assert differences(flow, told) == [], (span, of)


def test_every_number_of_the_limits_is_recounted() -> None:
    """A floor without chance: what its one future does is written down and counted."""
    shop = make.shop()
    worked, *_ = released(shop, 9)
    shop.work(shop.part(worked, "NECK"))
    shop.later(hours=2)
    found = Recount(Ledger(), shop.now, ZONE)
    make_forecast(at=shop.now, seed=3, futures=4, zone=ZONE, with_gains=True)
    line = floor_now(at=shop.now, zone=ZONE).line
    tries: Tries = {
        "HOUR": lambda line, code: fc.with_longer_days(
            fc.with_longer_days(line, code), f"{code} beside"
        ),
        "PLACE": one_more_place,
        # Nothing was sent back yet.
        "REWORK": lambda line, code: line,
    }
    with time_machine.travel(shop.now, tick=False):
        limits = shown(client(shop, "planner"), "/limits/")
    told = limits_text(found, line=line, futures=4, seed=3, tries=tries)
    assert differences(limits, told) == []


def test_a_gain_stands_with_what_holds_it_95_of_100_times(shop: make.Shop) -> None:
    """Without chance the three are one, so that here they are made to differ."""
    released(shop, 9)
    kept = make_forecast(at=shop.now, seed=3, futures=2, zone=ZONE, with_gains=True)
    for one in kept.results["gains"]:
        one["sooner_s"], one["more"] = [86_400, 2 * 86_400, 3 * 86_400], [4, 5, 6]
    kept.save(update_fields=["results"])
    limits = shown(client(shop, "planner"), "/limits/")
    found = " ".join(numbers(limits))
    assert "1.0 2.0 3.0" in found
    row = "1.00 2.00 3.00 4.00 5.00 6.00"
    assert found.count(row) == len(kept.results["gains"]) >= 3
