"""Does a room's page cost more when the room is full?

Beside it stands the board of the same run, whose cost does not hang on the wood.
"""

import math
import os
from datetime import timedelta
from decimal import Decimal
from random import Random
from typing import Any

from tests.bench.ground import database, say
from tests.bench.pages import Page, page
from tests.bench.table import row

FEW, MANY, READINGS = 50, 500, 8
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
        few = _page(client, shop, "/rooms/ROOM/")
        _fill(shop, MANY)
        many = _page(client, shop, "/rooms/ROOM/")
        walk = _page(client, shop, "/moisture/")
        plain = _page(client, shop, "/board/")
    say(f"{few.queries}, {many.queries} and {walk.queries} queries")
    row(f"a room with {FEW} sets", few.took.ms, "ms")
    row(f"a room with {MANY} sets", many.took.ms, "ms", at_most=150)
    row(f"what to read next, of {MANY} sets", walk.took.ms, "ms")
    row("the board beside them", plain.took.ms, "ms")


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


def _page(client: Any, shop: Any, url: str) -> Page:
    import time_machine

    with time_machine.travel(shop.now, tick=True):
        client.force_login(shop.cast.planner)
        return page(client, url)


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main()
