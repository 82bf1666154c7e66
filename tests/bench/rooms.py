"""Does a room's page cost more when the room is full?

Beside it stands the board of the same run, whose cost does not hang on the wood.
"""

import math
import os
import statistics
import time
from datetime import timedelta
from decimal import Decimal
from random import Random
from typing import Any

from tests.bench.ground import database, say

FEW, MANY, READINGS, ROUNDS = 50, 500, 8, 15
EVERY = timedelta(days=4)


def main() -> None:
    with database():
        from django.conf import settings
        from django.test import Client

        from tests import make

        settings.ALLOWED_HOSTS.append("testserver")
        shop = make.shop()
        shop.cast.stations["ROOM"].places = 600
        shop.cast.stations["ROOM"].save()
        _breathe(shop)
        client = Client()
        client.force_login(shop.cast.planner)
        _fill(shop, FEW)
        few_ms, few_queries = _cost(client, shop, "/rooms/ROOM/")
        _fill(shop, MANY)
        many_ms, many_queries = _cost(client, shop, "/rooms/ROOM/")
        walk_ms, walk_queries = _cost(client, shop, "/moisture/")
        plain_ms, _ = _cost(client, shop, "/board/")
    say(f"{FEW:>6} sets in a room: {few_ms:6.1f} ms, {few_queries} queries")
    say(f"{MANY:>6} sets in a room: {many_ms:6.1f} ms, {many_queries} queries")
    say(f"   what to read next: {walk_ms:6.1f} ms, {walk_queries} queries")
    say(f"           the board: {plain_ms:6.1f} ms")
    say(f"aim: {MANY} sets in at most 150 ms at the server")


def _breathe(shop: Any) -> None:
    from travelers.lumber.actions import note_airs
    from travelers.lumber.models import Room
    from travelers.lumber.rules import Told

    room = Room.objects.create(
        station=shop.cast.stations["ROOM"], limit_pct=Decimal("7.2")
    )
    note_airs(
        room_id=room.pk,
        readings=[
            (shop.now - timedelta(hours=n), Decimal(40), Decimal(33))
            for n in range(24 * 60)
        ],
        told=Told.BY_LOGGER,
    )


def _fill(shop: Any, wanted: int) -> None:
    """Let so many bodies lie in the room, read eight times in their last month."""
    from travelers.lumber.models import MoistureReading, Piece
    from travelers.lumber.rules import Method
    from travelers.orders.models import Step

    lying = Step.objects.filter(state="DWELLING")
    missing = wanted - lying.count()
    while missing > 0:
        shop.instruments(min(100, missing))
        missing -= 100
    began = shop.now - READINGS * EVERY
    steps = Step.objects.filter(operation__name="Dry", part__branch="BODY")
    steps.exclude(state="DWELLING").update(
        state="DWELLING",
        ready_at=began,
        started_at=began,
        at_station=shop.cast.stations["ROOM"],
        dwell_until=shop.now + timedelta(days=9),
    )
    chance = Random(7)
    rows = []
    sets = steps.values_list("part__plank_set", flat=True)
    known = set(MoistureReading.objects.values_list("piece", flat=True))
    for piece in Piece.objects.filter(plank_set__in=sets).exclude(pk__in=known):
        rate = 0.03 * math.exp(chance.gauss(0, 0.2))
        for n in range(READINGS):
            gone = math.exp(-rate * n * EVERY.days)
            moisture = Decimal(f"{6 + 6 * gone + chance.gauss(0, 0.2):.1f}")
            rows.append(
                MoistureReading(
                    piece=piece,
                    read_at=began + n * EVERY + timedelta(hours=1),
                    method=Method.METER,
                    gauge=shop.cast.gauges["meter"],
                    in_calibration=True,
                    shown_pct=moisture,
                    moisture_pct=moisture,
                    person=shop.cast.joiner,
                )
            )
    MoistureReading.objects.bulk_create(rows, batch_size=2_000)


def _cost(client: Any, shop: Any, url: str) -> tuple[float, int]:
    import time_machine
    from django.db import connection

    asked: list[str] = []

    def listen(execute: Any, sql: str, *rest: Any) -> Any:
        asked.append(sql)
        return execute(sql, *rest)

    took = []
    with time_machine.travel(shop.now, tick=True):
        client.force_login(shop.cast.planner)
        with connection.execute_wrapper(listen):
            client.get(url)
        for _ in range(ROUNDS):
            started = time.perf_counter()
            answer = client.get(url)
            took.append((time.perf_counter() - started) * 1000)
            if answer.status_code != 200:
                raise RuntimeError(f"{url} answered {answer.status_code}")
    return statistics.median(took), len(asked)


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main()
