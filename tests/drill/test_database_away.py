"""Is nothing lost when PostgreSQL is restarted or away, and is all well by itself?"""

import time
from collections import Counter
from collections.abc import Iterator

import pytest
from django.db import connection

from tests import make
from tests.drill import ledger
from tests.drill.cluster import Cluster, cluster, copy, looking_at
from tests.drill.conftest import Say, database_url
from tests.drill.size import sized
from tests.drill.tablet import Tablet, at_work, press_of, tablets
from tests.serving import JSON, PIECE, Server
from travelers.floor.rules import Wish
from travelers.orders.models import Step

pytestmark = [
    pytest.mark.skipif(
        connection.vendor != "postgresql", reason="only PostgreSQL can be away"
    ),
    pytest.mark.timeout(1200),
]

AWAY_S = sized(3, 300)
# So long after the database is up again all must be answered as ever.
BACK_WITHIN_S = 10


@pytest.fixture
def own(shop: make.Shop, server: Server) -> Iterator[Cluster]:
    """Give a cluster with this test's shop in it, and let the server use that."""
    shop.instruments(sized(12, 60))
    with cluster() as made:
        copy(database_url(), made.url)
        server.environment = {"DATABASE_URL": made.url}
        try:
            yield made
        finally:
            server.kill()


def only_503(tried: Counter[str]) -> bool:
    """Say whether every answer that was none said so in words, with 503."""
    return set(tried) <= {"503"}


def seconds_until_all_answer(pressing: list[Tablet]) -> float:
    """Wait until each tablet has another answer; say how long that took."""
    started = time.perf_counter()
    before = [len(one.acknowledged) for one in pressing]
    while any(
        len(one.acknowledged) == had for one, had in zip(pressing, before, strict=True)
    ):
        assert time.perf_counter() - started < 120, "some tablet is not answered"
        time.sleep(0.02)
    return time.perf_counter() - started


@pytest.mark.proof("R9")
def test_r9_nothing_is_lost_when_the_database_restarts(
    own: Cluster, server: Server, say: Say
) -> None:
    """R9: restarted fast and at once, as if its power was cut, while tablets press."""
    server.start()
    pressing = tablets(server, 8)
    took = []
    with at_work(pressing):
        for how in ("fast", "immediate") * sized(1, 10):
            time.sleep(0.5)
            own.do("restart", "-m", how)
            took.append(seconds_until_all_answer(pressing))
    with looking_at(own.url):
        stored = ledger.assert_nothing_lost(pressing)
    tried = sum((one.unanswered for one in pressing), Counter())
    assert only_503(tried), tried
    assert max(took) < BACK_WITHIN_S
    say(
        f"{len(took)} restarts under 8 tablets: {stored} acknowledged, 0 lost; "
        f"{tried['503']} answers of 503; all answered again {max(took):.1f} s after "
        "it was up (longest)"
    )


@pytest.mark.proof("R10")
def test_r10_while_the_database_is_away_all_is_said_in_words(
    own: Cluster, server: Server, say: Say
) -> None:
    """R10: stopped and, later, started; nobody touches the server meanwhile."""
    step = Step.objects.filter(operation__name="Saw").select_related("station", "part")[
        0
    ]
    server.start()
    tablet = Tablet(server.visitor(), iter(())).sign_in()
    tablet.insist(press_of(step, Wish.START))
    press = press_of(step, Wish.FINISH)
    own.do("stop", "-m", "fast")
    stopped, longest = time.perf_counter(), 0.0
    while time.perf_counter() - stopped < AWAY_S:
        for headers in ({}, PIECE, JSON):
            tablet.headers = headers
            asked = time.perf_counter()
            look = tablet.visitor.ask("GET", "/station/SAW/?code=1", headers=headers)
            for answer, code in (
                (tablet.send(press), "kit.records_away"),
                (look, "kit.records_unread"),
            ):
                assert answer.status == 503
                assert code in answer.text
                assert answer.headers["Retry-After"]
            longest = max(longest, time.perf_counter() - asked)
        time.sleep(1)
    own.do("start")
    tablet.headers, started = PIECE, time.perf_counter()
    tablet.insist(press)
    back = time.perf_counter() - started
    with looking_at(own.url):
        assert ledger.assert_nothing_lost([tablet]) == 2
    say(
        f"away for {AWAY_S} s: two answers of 503 took {longest:.1f} s at most; "
        f"answered as ever {back:.1f} s after it was up"
    )
    assert back < BACK_WITHIN_S
