"""Does a page at a bench keep true by itself, though nobody draws it anew?"""

from collections.abc import Callable, Iterator
from datetime import timedelta

import pytest

from tests.browser import halfway
from tests.browser.conftest import SIZES, Tablet
from tests.browser.halfway import Halfway
from travelers.floor.rules import Wish
from travelers.kit.words import span

LASTING = """() => [...document.querySelectorAll("[data-shop-lasting]")]
  .map((one) => [Number(one.dataset.shopLasting), one.textContent])"""


@pytest.fixture(scope="module")
def floor(db: None) -> Iterator[Halfway]:
    with halfway.working() as made:
        made.shop.instruments(3)
        made.begin("Lacquer")
        made.begin("Fret", "NECK")
        yield made


@pytest.fixture
def bench(floor: Halfway, tablet: Callable[..., Tablet]) -> Tablet:
    """Give a tablet whose page's clock is moved by hand."""
    one: Tablet = tablet()
    one.enter(floor.shop.cast.finisher)
    one.clock.install()
    return one


def test_how_long_it_waits_is_said_on_as_the_server_says_it(bench: Tablet) -> None:
    bench.go("/station/SAW/")
    drawn = bench.tells(LASTING)
    assert len(drawn) > 3
    assert [text for _, text in drawn] == [said(seconds) for seconds, _ in drawn]
    for passed in (timedelta(minutes=50), timedelta(hours=3), timedelta(hours=30)):
        bench.go("/station/SAW/")
        bench.clock.fast_forward(int(passed.total_seconds() * 1000))
        told = bench.tells(LASTING)
        assert [text for _, text in told] == [
            said(seconds + passed.total_seconds()) for seconds, _ in told
        ]


def said(seconds: float) -> str:
    return span(timedelta(seconds=seconds))


def test_a_coat_that_has_rested_can_be_begun_without_a_scan(
    floor: Halfway, bench: Tablet
) -> None:
    first = floor.come_to("Lacquer")
    for wish in (Wish.START, Wish.FINISH):
        floor.shop.must(wish, floor.shop.step_of(first.part))
    floor.tell_the_time()
    bench.go(f"/station/BOOTH/?code={first.part.code}")
    start = bench.page.get_by_role("button", name="Start", exact=True)
    assert start.is_disabled()
    for size in SIZES:
        bench.picture("station-rests", size=size)
    bench.clock.fast_forward("03:59:00")
    assert start.is_disabled()
    floor.shop.later(hours=4)
    floor.tell_the_time()
    bench.clock.fast_forward("01:05")
    bench.page.wait_for_selector("#scene form button.press")
    assert start.is_enabled()
    # It came from the server; the page did not go on alone.
    assert not bench.page.locator("[data-away-scene]").count()
    for size in SIZES:
        bench.picture("station-rested", size=size)
