"""Is a label scanned once, and do batches and serials work on without network?"""

from collections.abc import Iterator
from functools import partial

import pytest
import time_machine
from django.test import override_settings
from playwright.sync_api import Page

from tests import make
from tests.browser.alone import apart
from tests.browser.alone.apart import Alone, World, sent, until, waiting
from tests.browser.alone.hands import agrees, away, go, picture, press, scan
from tests.browser.halfway import TEN_YEARS
from tests.floor.story import at
from travelers.floor.models import BatchAtStation, MaterialUse
from travelers.lumber.models import Piece

# How many materials the tablet knows the batch of.
CHOSEN = """shopStore.due(document.getElementById('outbox').dataset.due)
  .then((due) => Object.keys(due.chosen).length)"""


@pytest.fixture(scope="module")
def world(db: None) -> Iterator[World]:
    """Give a shop whose operations use glue, lacquer and pickups."""
    shop = make.shop(uses=True)
    signed_in = override_settings(SESSION_COOKIE_AGE=TEN_YEARS, ALLOWED_HOSTS=["*"])
    with signed_in, time_machine.travel(shop.now, tick=True) as clock:
        made = World(shop, [], [], clock)
        made.tell_the_time()
        yield made


def test_a_label_is_scanned_once_and_another_without_network(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    shop = world.shop
    glue = at(shop, shop.part(shop.instrument()), "Glue")
    first, second = shop.batch(), shop.batch()
    world.tell_the_time()
    tablet.shift_ms = world.shift_ms
    page = tablet.open()
    tablet.enter(shop.cast.joiner)
    go(page, tablet, "CLAMPS")
    scan(page, glue.part.code)
    until(page, lambda: "scan the batch’s label" in page.inner_text(".uses"))
    scan(page, first.code)
    until(page, lambda: f"{first.number}, is in use here" in page.inner_text("#scene"))
    assert [row.batch for row in BatchAtStation.objects.all()] == [first]
    picture(page, "batch-in-use")
    page.reload()
    until(page, lambda: page.evaluate(CHOSEN) == 1)

    server.stop()
    scan(page, glue.part.code)
    away(page)
    until(page, lambda: first.number in page.inner_text(".uses"))
    scan(page, second.code)
    until(page, lambda: second.number in page.inner_text(".uses"))
    press(page, "Start")
    for piece in Piece.objects.filter(plank_set=glue.part.plank_set):
        scan(page, piece.code)
        page.wait_for_timeout(300)
    press(page, "Done")
    assert waiting(page) == 4
    server.start()
    sent(page)
    assert [use.batch for use in MaterialUse.objects.filter(event__step=glue)] == [
        second,
        second,
    ]
    assert BatchAtStation.objects.latest("pk").batch == second
    agrees()


def is_shown(page: Page, serial: str) -> bool:
    return serial in page.inner_text(".uses")


def test_serial_numbers_are_taken_without_network(
    world: World, server: apart.Shop, tablet: Alone
) -> None:
    shop = world.shop
    solder = at(shop, shop.part(shop.instrument(), "ELECTRONICS"), "Solder")
    world.tell_the_time()
    tablet.shift_ms = world.shift_ms
    page = tablet.open()
    tablet.enter(shop.cast.joiner)
    go(page, tablet, "BENCH")
    server.stop()
    scan(page, solder.part.code)
    away(page)
    press(page, "Start")
    for serial in ("PU-1001", "PU-1002"):
        until(page, lambda: "Serial number still" in page.inner_text("#scene"))
        scan(page, serial)
        until(page, partial(is_shown, page, serial))
    picture(page, "serials-without-network")
    press(page, "Done")
    assert waiting(page) == 4
    server.start()
    sent(page)
    uses = MaterialUse.objects.filter(event__step=solder).order_by("pk")
    assert [use.serial for use in uses] == ["PU-1001", "PU-1002"]
    agrees()
