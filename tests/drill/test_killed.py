"""Is a scan that was answered still there when the server is killed?"""

import random
import time

import pytest

from tests import make
from tests.drill import ledger
from tests.drill.conftest import Say
from tests.drill.size import sized
from tests.drill.tablet import (
    Tablet,
    at_work,
    percentile,
    press_of,
    presses_for,
    tablets,
    work_off,
)
from tests.drill.wsgi import DIE_BEFORE_ANSWER
from tests.serving import PIECE, Server
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.orders.models import Step

pytestmark = pytest.mark.timeout(3600)

KILLS = sized(4, 200)
TABLETS = sized(8, 20)
LEAST_S, MOST_S = 0.2, 0.8


@pytest.mark.proof("R1")
def test_r1_no_acknowledged_scan_is_lost_when_the_server_is_killed(
    shop: make.Shop, server: Server, say: Say
) -> None:
    """R1: kill -9 of all that serves, again and again, while tablets press.

    By turns only the processes that answer are killed, and then all of it at once.
    """
    shop.instruments(sized(24, 60))
    server.start()
    pressing = tablets(server, TABLETS)
    chance = random.Random(20260310)
    ready = []
    with at_work(pressing):
        for turn in range(KILLS):
            time.sleep(chance.uniform(LEAST_S, MOST_S))
            if turn % 2:
                server.kill_workers()
            else:
                server.kill()
                ready.append(server.start())
    stored = ledger.assert_nothing_lost(pressing)
    unanswered = sum(sum(one.unanswered.values()) for one in pressing)
    # A run that nothing was cut off in would prove nothing.
    assert stored > TABLETS
    assert unanswered > 0
    say(
        f"{KILLS} kills under {TABLETS} tablets: {stored} acknowledged, 0 lost, 0 "
        f"double; {unanswered} tries without an answer; ready again after "
        f"{sorted(ready)[len(ready) // 2]:.1f} s (median), {max(ready):.1f} s (longest)"
    )


@pytest.mark.proof("R6")
def test_r6_tablets_that_never_pause_are_all_answered(
    shop: make.Shop, server: Server, say: Say
) -> None:
    """R6: eight tablets without think time, and no try goes without an answer."""
    shop.instruments(sized(16, 100))
    server.start()
    pressing = tablets(server, 8, limit=sized(20, 150))
    started = time.perf_counter()
    work_off(pressing)
    took = time.perf_counter() - started
    assert [dict(one.unanswered) for one in pressing] == [{}] * 8
    stored = ledger.assert_nothing_lost(pressing)
    assert stored == 8 * sized(20, 150)
    say(
        f"{stored} scans by 8 tablets without a pause: {stored / took:.0f}/s, 0 "
        f"errors, p50 {percentile(pressing, 0.5):.0f} ms, "
        f"p99 {percentile(pressing, 0.99):.0f} ms"
    )


@pytest.mark.proof("R13")
def test_r13_what_was_stored_before_the_answer_got_lost_is_answered_again(
    shop: make.Shop, server: Server
) -> None:
    """R13: the server dies between the commit and the first byte of its answer."""
    shop.instruments(sized(2, 30))
    steps = list(
        Step.objects.filter(operation__name="Saw").select_related("station", "part")
    )
    server.start()
    tablet = Tablet(server.visitor(), presses_for(steps)).sign_in()
    for step in steps:
        for wish, accepted in (
            (Wish.START, True),
            (Wish.LOAD, False),
            (Wish.FINISH, True),
        ):
            press = press_of(step, wish)
            tablet.headers = {**PIECE, DIE_BEFORE_ANSWER: "1"}
            assert not tablet.try_once(press)
            first = Event.objects.get(event_id=press.event_id)
            assert first.accepted is accepted
            tablet.headers = PIECE
            tablet.insist(press)
            assert tablet.acknowledged[press.event_id] is accepted
            assert Event.objects.get(event_id=press.event_id).digest == first.digest
    assert ledger.assert_nothing_lost([tablet]) == 3 * len(steps)
