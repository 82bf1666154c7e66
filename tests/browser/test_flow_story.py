"""Does a planner get from a picture of the flow to the part, and without colour?"""

import io
from collections.abc import Callable, Iterator
from itertools import pairwise

import pytest
import time_machine
from PIL import Image

from tests import make
from tests.browser.conftest import SIZES, Tablet
from tests.browser.halfway import TEN_YEARS
from tests.browser.test_sight import colourful, see_as
from tests.planning.test_board import some_days
from tests.planning.test_flow import finish
from travelers.planning.models import DayCount
from travelers.shop.models import Station


@pytest.fixture
def shop(transactional_db: None, settings: object) -> Iterator[make.Shop]:
    settings.SESSION_COOKIE_AGE = TEN_YEARS  # type: ignore[attr-defined]
    made = make.shop()
    Station.objects.update(places=60)
    first, *rest = made.instruments(4)
    some_days(made, rest, seed=3)
    finish(made, first)
    made.later(days=2)
    with time_machine.travel(made.now, tick=True):
        yield made


def test_from_the_board_to_the_part_behind_a_number(
    shop: make.Shop, tablet: Callable[..., Tablet]
) -> None:
    desk: Tablet = tablet()
    desk.enter(shop.cast.planner)
    desk.go("/board/")
    desk.page.get_by_role("link", name="Flow").click()
    desk.shows(
        "What lies where", "Throughput", "Time between", "must be equal, and are:"
    )
    assert DayCount.objects.exists()
    _pictures_are_drawn(desk)
    desk.page.locator("#course-name ~ details summary").click()
    number = desk.page.locator("#course-name ~ details tbody tr").last.locator(
        "td:not(:has(strong)) a"
    )
    count = int(number.first.inner_text())
    number.first.click()
    desk.shows(f"Lay here as the day ended: {count}")
    assert desk.page.locator("section").first.locator("tbody tr").count() == count
    desk.page.locator("tbody th a").first.click()
    assert "/instrument/" in desk.page.url


def _pictures_are_drawn(desk: Tablet) -> None:
    """Each picture came, and fits the page in both sizes."""
    for size in SIZES:
        desk.picture("flow-story", size=size)
    for image in desk.page.locator("img.chart").all():
        assert image.evaluate("it => it.complete && it.naturalWidth > 300")
        assert image.get_attribute("alt")


@pytest.mark.parametrize("dark", [False, True], ids=["day", "night"])
def test_the_bands_are_told_apart_without_colour(
    shop: make.Shop, tablet: Callable[..., Tablet], *, dark: bool
) -> None:
    """A column through the bands has as many greys as stages have something."""
    desk: Tablet = tablet(dark=dark)
    desk.enter(shop.cast.planner)
    desk.go("/flow/?days=28")
    see_as(desk, "achromatopsia")
    assert colourful(desk) <= 2
    chart = desk.page.locator("img.chart").first
    shot = Image.open(io.BytesIO(chart.screenshot(caret="initial"))).convert("L")
    # Near the right end of the bands, before their names.
    at = shot.width * 3 // 4
    column = shot.crop((at, 40, at + 1, shot.height - 40))
    # Those of a band, and not of the lines between.
    greys = sorted(grey for n, grey in column.getcolors(256) or () if n >= 6)
    last = "#course-name ~ details tbody tr:last-child td:not(:has(strong)) a"
    with_something = desk.page.locator(last).count()
    assert with_something >= 3
    assert len(greys) >= with_something
    assert min(two - one for one, two in pairwise(greys)) >= 4
