"""Which shop, server and tablet do the tests find that take the network away?"""

from collections.abc import Iterator
from pathlib import Path

import pytest
import time_machine
from django.test import override_settings
from playwright.sync_api import Browser, Playwright

from tests import make
from tests.browser.alone import apart
from tests.browser.alone.apart import Alone, World
from tests.browser.halfway import TEN_YEARS


@pytest.fixture(scope="module")
def world(db: None) -> Iterator[World]:
    shop = make.shop()
    signed_in = override_settings(SESSION_COOKIE_AGE=TEN_YEARS, ALLOWED_HOSTS=["*"])
    with signed_in, time_machine.travel(shop.now, tick=True) as clock:
        made = apart.at_the_saw(shop, clock)
        made.tell_the_time()
        yield made


@pytest.fixture
def server(world: World) -> Iterator[apart.Shop]:
    running = apart.Shop().start()
    yield running
    running.stop()


@pytest.fixture
def tablet(
    driver: Playwright, chromium: Browser, world: World, server: apart.Shop
) -> Iterator[Alone]:
    one = Alone(driver, server.url, chromium, shift_ms=world.shift_ms)
    yield one
    one.close()
    assert one.faults == []


@pytest.fixture
def lasting(tablet: Alone, tmp_path: Path) -> Alone:
    """Give a tablet with a disk, to be closed and opened again."""
    tablet.disk = tmp_path / "disk"
    return tablet
