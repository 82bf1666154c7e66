"""Is a tablet answered in words while another program keeps the records locked?"""

import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import connection, transaction

from tests import make
from tests.drill import ledger
from tests.drill.size import IS_FULL, sized
from tests.drill.tablet import Tablet, press_of
from tests.serving import JSON, PIECE, Server
from travelers.floor.rules import Wish
from travelers.orders.models import Instrument, Step

pytestmark = pytest.mark.timeout(600)

# How long the shop waits for a lock; the other program holds it longer.
BUSY_S = sized(2, 20)
# Who holds what: IMMEDIATE stops a view that writes, EXCLUSIVE even the reading of the
# session; ROWS are those of all instruments.
LOCKS = {"sqlite": ["IMMEDIATE", "EXCLUSIVE"], "postgresql": ["ROWS"]}

HOLDER = """
import sqlite3, sys
held = sqlite3.connect(sys.argv[1], isolation_level=None, timeout=20)
held.execute(f"BEGIN {sys.argv[2]}")
print("held", flush=True)
sys.stdin.read()
held.execute("ROLLBACK")
"""


@contextmanager
def locked_file(how: str) -> Iterator[None]:
    """Let another process hold SQLite's lock: for writing, or for reading as well."""
    command = [sys.executable, "-c", HOLDER, connection.settings_dict["NAME"], how]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout
        assert holder.stdout.readline() == "held\n"
        try:
            yield
        finally:
            holder.communicate("", timeout=20)


@contextmanager
def locked_rows() -> Iterator[None]:
    """Hold the lock of every instrument, as a session that hangs would."""
    with transaction.atomic():
        list(Instrument.objects.select_for_update())
        yield


def assert_answered_in_words(tablet: Tablet, step: Step) -> None:
    """Send a press in each form; none hangs, and all say that it was not stored."""
    for headers in ({}, PIECE, JSON):
        tablet.headers = headers
        press = press_of(step, Wish.HOLD, reason="blocked", only_part="on")
        started = time.perf_counter()
        answer = tablet.send(press)
        took = time.perf_counter() - started
        assert answer.status == 503
        assert "kit.records_busy" in answer.text
        assert "this was not stored" in answer.text
        assert int(answer.headers["Retry-After"]) > 0
        # It was waited for as long as was promised, once.
        assert BUSY_S * 0.9 <= took < min(2 * BUSY_S, BUSY_S + 10)
        if IS_FULL:
            return  # twenty seconds for each form would be long


@pytest.mark.proof("R8")
@pytest.mark.each
@pytest.mark.parametrize("how", LOCKS[connection.vendor])
def test_r8_a_writer_that_is_blocked_is_answered_in_words(
    shop: make.Shop, server: Server, how: str
) -> None:
    """R8: a lock held longer than is waited gives 503, and afterwards all is normal."""
    shop.instruments(2)
    step = Step.objects.filter(operation__name="Saw").select_related("station", "part")[
        0
    ]
    server.environment = {**server.environment, "DRILL_BUSY_S": str(BUSY_S)}
    server.start()
    tablet = Tablet(server.visitor(), iter(())).sign_in()
    press = press_of(step, Wish.START)
    with locked_rows() if how == "ROWS" else locked_file(how):
        assert_answered_in_words(tablet, step)
        tablet.headers = PIECE
        # In full that makes forty seconds, longer than any answer is waited for.
        assert not tablet.try_once(press)
    tablet.insist(press, patience_s=5)
    assert tablet.acknowledged == {press.event_id: True}
    assert ledger.assert_nothing_lost([tablet]) == 1
