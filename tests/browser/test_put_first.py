"""Does a planner put something first with a few presses, and a bench read why?"""

from collections.abc import Callable, Iterator

import pytest

from tests.browser import halfway
from tests.browser.conftest import SIZES, Tablet
from tests.browser.halfway import Halfway
from travelers.floor.queries import find_place, idle
from travelers.orders.models import Instrument


@pytest.fixture(scope="module")
def floor(db: None) -> Iterator[Halfway]:
    with halfway.working() as made:
        halfway.fill(made)
        made.shop.instruments(3)
        yield made


@pytest.fixture
def planner(floor: Halfway, tablet: Callable[..., Tablet]) -> Tablet:
    one: Tablet = tablet()
    one.enter(floor.shop.cast.planner)
    return one


def first_at(floor: Halfway, station: str) -> str:
    place = find_place(code=station)
    assert place
    return idle(place=place, at=floor.shop.now).ready[0].serial


def test_the_planner_puts_one_first_and_the_bench_says_why(
    floor: Halfway, planner: Tablet, joiner: Tablet
) -> None:
    place = find_place(code="SAW")
    assert place
    last = idle(place=place, at=floor.shop.now).ready[-1].serial
    joiner.go("/station/SAW/")
    assert first_at(floor, "SAW") != last
    planner.go(f"/instrument/{last}/")
    planner.touch("#pins-name ~ details > summary")
    planner.page.select_option("#pin-station", label="Saw")
    planner.page.fill("#pin-reason", "stage guitar for the fair")
    for size in SIZES:
        planner.picture("instrument-put-first", size=size, full=True)
    planner.touch("#pins-name ~ details form button")
    planner.shows("It stands first now.", "stage guitar for the fair")
    # The bench looks for news by itself.
    joiner.go("/station/SAW/")
    joiner.shows("put first: stage guitar for the fair", last)
    row = joiner.page.locator(".queue li.next")
    assert last in row.inner_text()
    for size in SIZES:
        joiner.picture("station-put-first", size=size)
        wide = joiner.tells("document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0
    joiner.touch(".list-rule > summary")
    joiner.shows("for its order to be on time")
    assert joiner.axe() == []
    for size in SIZES:
        joiner.picture("station-rule", size=size)
    planner.go("/first/")
    for size in SIZES:
        planner.picture("put-first", size=size)
    assert planner.axe() == []
    planner.press("Back in its turn")
    planner.shows("Nothing is put first")
    assert first_at(floor, "SAW") != last


def test_the_rule_stays_open_when_news_come(floor: Halfway, joiner: Tablet) -> None:
    joiner.go("/station/SAW/")
    joiner.touch(".list-rule > summary")
    joiner.tells(
        """htmx.ajax("GET", "/station/SAW/?seen=old",
          {target: "#scene", swap: "outerHTML"})"""
    )
    joiner.settle()
    assert joiner.page.locator(".list-rule[open]").count() == 1


def test_nobody_else_finds_a_way_to_it(floor: Halfway, joiner: Tablet) -> None:
    serial = Instrument.objects.earliest("pk").serial
    joiner.go(f"/instrument/{serial}/")
    assert joiner.page.locator("#pin-reason").count() == 0
