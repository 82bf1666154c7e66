"""Does a planner see the limit, try more places there, and tell a day?"""

from collections.abc import Callable, Iterator

import pytest
import time_machine
from django.utils.timezone import get_default_timezone

from tests import make
from tests.browser.conftest import SIZES, Tablet
from tests.browser.halfway import TEN_YEARS
from travelers.formulas import forecast as fc
from travelers.planning.models import Forecast, WhatIf
from travelers.planning.queries.forecast import floor_now


@pytest.fixture
def shop(transactional_db: None, settings: object) -> Iterator[make.Shop]:
    """Release nine bodies for a room with three places."""
    settings.SESSION_COOKIE_AGE = TEN_YEARS  # type: ignore[attr-defined]
    made = make.shop()
    made.instruments(9)
    # The first call compiles: `make run` has done so before anybody opens a page.
    fc.simulate(floor_now(at=made.now, zone=get_default_timezone()).line, 1, 1)
    with time_machine.travel(made.now, tick=True):
        yield made


def test_from_the_board_to_the_limit_and_what_more_would_bring(
    shop: make.Shop, tablet: Callable[..., Tablet]
) -> None:
    desk: Tablet = tablet()
    desk.enter(shop.cast.planner)
    desk.go("/board/")
    desk.page.get_by_role("main").get_by_role("link", name="Limits").click()
    # The page goes on by itself: few futures, all of them, and what more would bring.
    desk.page.wait_for_selector("#limits:not([hx-trigger])", timeout=120_000)
    desk.shows(
        "Help Room first",
        "Of 1000 futures",
        "With one more place there",
        "one more hour",
    )
    assert Forecast.objects.get().futures == 1000
    chart = desk.page.locator("img.chart")
    assert chart.evaluate("it => it.complete && it.naturalWidth > 300")
    for size in SIZES:
        desk.picture("limits-story", size=size)

    desk.page.get_by_role("link", name="What if").click()
    desk.page.get_by_label("Name", exact=True).fill("Two more")
    desk.page.get_by_label("Station").select_option("ROOM")
    desk.page.get_by_label("Places more").fill("2")
    desk.press("Keep it and go on")
    desk.press("Live through both")
    desk.shows("An instrument is finished", "days sooner on average", "Room: places +2")
    assert WhatIf.objects.get().results is not None
    desk.picture("what-if-story", size=SIZES[0])

    desk.go("/promises/")
    desk.page.locator("tbody th a").first.click()
    desk.shows("Instruments of W001", "waits at Saw for Saw")
    for size in SIZES:
        desk.picture("promises-story", size=size)


@pytest.mark.parametrize("dark", [False, True], ids=["day", "night"])
def test_the_pages_stand_by_day_and_by_night(
    shop: make.Shop, tablet: Callable[..., Tablet], *, dark: bool
) -> None:
    desk: Tablet = tablet(dark=dark)
    desk.enter(shop.cast.lead)
    desk.go("/limits/")
    desk.page.wait_for_selector("#limits:not([hx-trigger])", timeout=120_000)
    found: list[str] = []
    for url in (
        "/limits/",
        "/promises/?order=W001",
        "/promises/record/",
        "/what-if/",
    ):
        found += desk.stands(url)
    assert not found, "\n".join(found)
