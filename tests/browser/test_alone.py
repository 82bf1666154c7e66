"""Does a tablet work on when the shop does not answer, and lose nothing of it?

The server is really stopped and the browser really closed or killed: what was pressed
comes in once, in its order, under the name of whoever pressed it; what is refused by
then is told.
"""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import time_machine
from django.test import override_settings
from playwright.sync_api import Browser, Page, Playwright, Route

from tests import make
from tests.browser import alone
from tests.browser.alone import Alone, World, until, waiting
from tests.browser.conftest import PICTURES
from travelers.floor.models import Event
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.outbox.models import Latecomer

TEN_YEARS = 10 * 365 * 86_400
BANNER = "#outbox-banner"


@pytest.fixture(scope="module")
def world(db: None) -> Iterator[World]:
    shop = make.shop()
    signed_in = override_settings(SESSION_COOKIE_AGE=TEN_YEARS, ALLOWED_HOSTS=["*"])
    with signed_in, time_machine.travel(shop.now, tick=True):
        yield alone.at_the_saw(shop)


@pytest.fixture
def server(world: World) -> Iterator[alone.Shop]:
    running = alone.Shop().start()
    yield running
    running.stop()


@pytest.fixture
def tablet(
    driver: Playwright, chromium: Browser, server: alone.Shop, tmp_path: Path
) -> Iterator[Alone]:
    one = Alone(driver, server.url, tmp_path / "disk")
    yield one
    one.close()
    assert one.faults == []


def go(page: Page, tablet: Alone, station: str = "SAW") -> None:
    """Open a station, and wait until the tablet has taken along what is due there."""
    page.goto(f"{tablet.home}/station/{station}/")
    took = "shopStore.due(document.getElementById('outbox').dataset.due)"
    until(page, lambda: page.evaluate(f"{took}.then((due) => Boolean(due))"))
    kept = "caches.keys().then((names) => names.length)"
    until(page, lambda: page.evaluate(kept) == 2)
    until(page, lambda: "waiting" not in page.inner_text("#outbox-net"))


def scan(page: Page, code: str) -> None:
    page.keyboard.type(code, delay=5)
    page.keyboard.press("Enter")
    page.wait_for_timeout(150)


def press(page: Page, name: str) -> None:
    """Press by its words, late enough to be no second tap, and wait for what follows."""
    page.wait_for_timeout(420)
    found = page.get_by_role("button", name=name, exact=True).or_(
        page.get_by_role("link", name=name, exact=True)
    )
    found.locator("visible=true").first.click()
    page.wait_for_timeout(120)


def measure(page: Page, typed: str) -> None:
    page.fill("#scene [data-shop-keypad]", typed)
    press(page, "Enter")


def away(page: Page) -> None:
    until(page, lambda: "No network" in page.inner_text("#outbox-net"))


def said(step_id: int) -> list[str]:
    rows = Event.objects.filter(step_id=step_id, accepted=True).order_by("seq")
    return [str(kind) for kind in rows.values_list("kind", flat=True)]


def agrees() -> None:
    for number in audit.instrument_ids():
        assert list(audit.check_instrument(instrument_id=number).differences) == []


def picture(page: Page, name: str) -> None:
    PICTURES.mkdir(exist_ok=True)
    for wide, high in ((1280, 800), (1024, 768)):
        page.set_viewport_size({"width": wide, "height": high})
        path = PICTURES / f"alone-{name}-{wide}x{high}.png"
        page.screenshot(path=path, caret="initial")
    page.set_viewport_size({"width": 1280, "height": 800})


# --- A shift without the shop


def test_fifteen_steps_on_ten_parts_a_closed_browser_and_back_again(
    world: World, server: alone.Shop, tablet: Alone
) -> None:
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet)
    server.stop()
    presses = 0
    for part in world.bodies:
        scan(page, part.code)
        if part is world.bodies[0]:
            away(page)
            picture(page, "card")
        for turn in (1, 2):
            assert f"Saw {turn}/2" in page.inner_text("h1.operation")
            press(page, "Start")
            press(page, "Check: Thickness")
            if part is world.bodies[0] and turn == 1:
                picture(page, "check")
            measure(page, "45,1")
            press(page, "Done")
            presses += 3
    for part in world.necks:
        scan(page, part.code)
        press(page, "Start")
        press(page, "Check: Straight grain")
        press(page, "Good")
        press(page, "Done")
        presses += 3
    assert waiting(page) == presses == 45
    # One that is refused by the time it comes in: somebody held it meanwhile.
    held = world.necks[0]
    verdict = world.shop.scan(
        Wish.HOLD, held, by="qa", at="SAW", reason="wet", only_part=True
    )
    assert verdict.accepted
    tablet.close()

    page = tablet.open()
    page.goto(f"{tablet.home}/station/SAW/")
    until(page, lambda: "45 waiting" in page.inner_text("#outbox-net"))
    until(page, lambda: page.locator(BANNER).count() == 1)
    assert "45 waiting" in page.inner_text(BANNER)
    picture(page, "opened-again")
    server.start()
    until(page, lambda: waiting(page) == 0, seconds=30)
    refused = page.locator("#outbox-refused li")
    until(page, lambda: refused.count() == 3)
    assert "is held since" in refused.first.inner_text()
    picture(page, "refused")
    numbers = Event.objects.exclude(tablet_number=None).order_by("seq")
    assert list(numbers.values_list("tablet_number", flat=True)) == list(range(1, 46))
    times = list(numbers.values_list("happened_at", flat=True))
    assert times == sorted(times)
    assert {event.person for event in numbers} == {world.shop.cast.joiner}
    for step in world.steps:
        whole = ["HOLD"] if step.part == held else ["START", "READ", "FINISH"]
        assert said(step.pk) == whole, step
    assert Latecomer.objects.count() == 3
    agrees()
