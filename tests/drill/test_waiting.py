"""Is a tablet's full outbox in, once and in order, soon after the server is back?"""

import json
import time

import pytest

from tests import make
from tests.cast import TOKEN
from tests.desk import released
from tests.drill import ledger
from tests.drill.conftest import Say
from tests.drill.size import sized
from tests.outbox.tablet import Outbox
from tests.serving import JSON, Server
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.orders.models import Step
from travelers.shop.sessions import TABLET_COOKIE

pytestmark = pytest.mark.timeout(1200)
WAITING = sized(100, 500)
# What the page's own script sends in one piece (outbox/static/outbox/send.js).
AT_ONCE = 50
WITHIN_S = 60


@pytest.mark.proof("R10")
def test_r10_what_waited_is_in_soon_after_the_server_is_back(
    shop: make.Shop, server: Server, say: Say
) -> None:
    """R10: kept while nobody answered; the server is killed once on the way."""
    steps = list(
        Step.objects.filter(
            part__instrument__in=released(shop, WAITING // 3), operation__name="Saw"
        )
    )
    kept = Outbox(shop)
    for step in steps:
        kept.press(Wish.START, step)
        shop.later(seconds=10)
    for step in steps:
        kept.press(Wish.FINISH, step)
        shop.later(seconds=10)
    while len(kept.kept) < WAITING:
        kept.press(
            Wish.HOLD, steps[0], reason=f"drill {len(kept.kept)}", only_part="on"
        )
    visitor = server.visitor()
    visitor.cookies[TABLET_COOKIE] = TOKEN
    server.start()
    visitor.ask("GET", "/sign-in/")
    began, sent = time.perf_counter(), 0
    while sent < WAITING:
        if sent == WAITING // 2 // AT_ONCE * AT_ONCE and server.process:
            server.kill()
            server.start()
        piece = {"records": kept.kept[sent : sent + AT_ONCE]}
        answer = visitor.ask(
            "POST", "/station/SAW/outbox/", headers=JSON, json=json.dumps(piece)
        )
        assert answer.status == 200, answer.text
        told = json.loads(answer.body)["answers"]
        assert [one["id"] for one in told] == [one["id"] for one in piece["records"]]
        sent += AT_ONCE
    took = time.perf_counter() - began
    stored = list(Event.objects.order_by("seq").values_list("event_id", flat=True))
    assert [str(one) for one in stored] == [one["id"] for one in kept.kept]
    assert ledger.differences() == []
    say(f"{WAITING} waiting presses are in {took:.1f} s after the server is up")
    assert took < WITHIN_S
