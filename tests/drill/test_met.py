"""When two verbs want what the other has locked, does the tablet hear nothing of it?"""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import connection, connections, transaction

from tests import make
from tests.drill import ledger
from tests.floor import story
from travelers.floor.actions import door
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.orders.models import Instrument
from travelers.shop.models import Station

pytestmark = pytest.mark.skipif(
    connection.vendor != "postgresql",
    reason="SQLite has one lock, which is taken at the start: nobody can meet",
)


@contextmanager
def holding(station: str, instrument: int) -> Iterator[threading.Thread]:
    """Lock a station in another session, and then want an instrument.

    A press locks the instrument first and then the station.  The other session never
    looks for deadlocks itself, so that it is the press that is chosen to give way.
    """
    has_station = threading.Event()

    def lock_both() -> None:
        try:
            with transaction.atomic(), connection.cursor() as cursor:
                cursor.execute("SET LOCAL deadlock_timeout = '1min'")
                Station.objects.select_for_update().get(code=station)
                has_station.set()
                time.sleep(0.3)
                Instrument.objects.select_for_update().get(pk=instrument)
        finally:
            connections.close_all()

    other = threading.Thread(target=lock_both)
    other.start()
    assert has_station.wait(timeout=20)
    try:
        yield other
    finally:
        other.join(timeout=60)


@pytest.mark.proof("R11")
def test_r11_a_press_that_met_another_is_done_again(
    shop: make.Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """R11: PostgreSQL breaks a real deadlock by ending the press, which is repeated."""
    body = shop.part(shop.instrument())
    dry = story.at(shop, body, "Dry")
    tried: list[str] = []
    first_try = door._record

    def count(claim: door.Claim) -> object:
        tried.append(claim.wish)
        return first_try(claim)

    monkeypatch.setattr(door, "_record", count)
    with holding("ROOM", dry.instrument_id):
        verdict = shop.scan(Wish.LOAD, body, step=dry)
    assert tried == ["LOAD", "LOAD"]
    assert (verdict.accepted, verdict.repeated) == (True, False)
    assert Event.objects.filter(event_id=verdict.event_id).count() == 1
    assert ledger.differences() == []
