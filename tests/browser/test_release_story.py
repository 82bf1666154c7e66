"""Can a planner's morning be done: a limit seen, a place tried, next week released?

And at its end a day promised for an order that somebody asks for on the telephone.
"""

from collections.abc import Callable, Iterator
from datetime import date, timedelta

import pytest
import time_machine

from tests import make
from tests.browser.conftest import SIZES, Tablet
from tests.browser.halfway import TEN_YEARS
from tests.desk import sets
from travelers.floor.rules import Wish
from travelers.lumber.models import Room
from travelers.orders.models import Instrument, WorkOrder
from travelers.planning.actions import set_release_rules
from travelers.planning.models import OrderPromise, ReleasePlan, WhatIf
from travelers.shop.models import Station

# The shop's clock stands at Tuesday, 10 March 2026; an instrument takes five weeks, and
# six are counted on for 80 of 100 while nothing is known of days here.
DUE = (
    (2, date(2026, 4, 29)),
    (1, date(2026, 4, 28)),
    (3, date(2026, 6, 30)),
    (1, date(2026, 3, 27)),
    (2, date(2026, 8, 14)),
)


@pytest.fixture
def shop(transactional_db: None, settings: object) -> Iterator[make.Shop]:
    """Let eight bodies share a room of six places, and five orders wait."""
    settings.SESSION_COOKIE_AGE = TEN_YEARS  # type: ignore[attr-defined]
    made = make.shop()
    room = made.cast.stations["ROOM"]
    Station.objects.filter(pk=room.pk).update(places=6)
    Room.objects.create(station=room, limit_pct=7)
    made.now -= timedelta(days=7)
    bodies = [made.part(one) for one in made.instruments(8)]
    for body in bodies:
        made.work(body, until="Dry")
    for body in bodies[:6]:
        made.must(Wish.LOAD, made.step_of(body))
    made.now = make.MORNING
    for purpose in ("BODY", "NECK"):
        sets(made, purpose, 8)
    for quantity, due_on in DUE:
        order = made.order(quantity)
        WorkOrder.objects.filter(pk=order.pk).update(due_on=due_on)
    set_release_rules(
        certainty_pct=80, most_in_work=20, by=made.cast.planner, at=made.now
    )
    with time_machine.travel(made.now, tick=True):
        yield made


def test_a_planners_morning(shop: make.Shop, tablet: Callable[..., Tablet]) -> None:
    desk: Tablet = tablet()
    desk.enter(shop.cast.planner)
    try_one_more_place(desk)
    release_next_week(desk)
    promise_a_day(desk)


def try_one_more_place(desk: Tablet) -> None:
    """See what holds output up, and what one more place there would bring."""
    desk.go("/limits/")
    desk.page.wait_for_selector("#limits:not([hx-trigger])", timeout=120_000)
    desk.shows("Help Room first")
    desk.page.get_by_role("link", name="What if").click()
    desk.page.get_by_label("Name", exact=True).fill("One more place")
    desk.page.get_by_label("Station").select_option("ROOM")
    desk.page.get_by_label("Places more").fill("1")
    desk.press("Keep it and go on")
    desk.press("Live through both")
    desk.shows("days sooner on average", "Room: places +1")
    assert WhatIf.objects.get().results is not None


def release_next_week(desk: Tablet) -> None:
    """Let the page plan, and release next week's orders, with wood, in one press."""
    desk.go("/limits/")
    desk.page.get_by_role("main").get_by_role("link", name="Release plan").click()
    desk.page.wait_for_selector("#plan:not([hx-trigger])", timeout=120_000)
    assert ReleasePlan.objects.get().futures == 1000
    desk.shows(
        "Of 1000 futures", "Next week", "1 waits for wood", "earliest honest day"
    )
    for chart in desk.page.locator("img.chart").all():
        assert chart.evaluate("it => it.decode().then(() => it.naturalWidth > 300)")
    for size in SIZES:
        desk.picture("release-story", size=size, full=True)
    before = Instrument.objects.count()
    desk.press("Release next week’s 3 orders")
    desk.shows("W002: 2 instruments are on the floor.", "W003: 1 instrument")
    assert Instrument.objects.count() == before + 4


def promise_a_day(desk: Tablet) -> None:
    """Ask by when a new order would be finished, and promise it."""
    desk.page.get_by_role("link", name="A day for a new order").click()
    desk.page.get_by_label("Model and finish").select_option(label="Tide Green")
    desk.page.get_by_label("Quantity").fill("2")
    desk.page.get_by_label("Wished by").fill("2026-05-15")
    desk.press("Ask")
    desk.page.wait_for_selector("#answer:not([hx-trigger])", timeout=120_000)
    desk.shows("The answer", "Of 1000 futures", "What it does to the others")
    for size in SIZES:
        desk.picture("ask-story", size=size, full=True)
    desk.page.get_by_label("Number of the order").fill("T-77")
    desk.press("Make the order and keep the promise")
    desk.shows("Order T-77", "The order is made and promised by")
    promise = OrderPromise.objects.get()
    assert promise.order.number == "T-77"
    assert promise.order.due_on == promise.promised_on
    assert promise.certainty_pct >= 80
    desk.go("/ask/")
    desk.shows("Promised", "T-77")


@pytest.mark.parametrize("dark", [False, True], ids=["day", "night"])
def test_the_pages_stand_by_day_and_by_night(
    shop: make.Shop, tablet: Callable[..., Tablet], *, dark: bool
) -> None:
    desk: Tablet = tablet(dark=dark)
    desk.enter(shop.cast.planner)
    asked = f"what={shop.model.pk}:Tide+Green&quantity=2&wished_on=2026-04-15"
    pages = (
        ("/release/", "#plan:not([hx-trigger])"),
        (
            f"/ask/?{asked}&certainty_pct=80&goes=BY_DATE",
            "#answer:not([hx-trigger])",
        ),
    )
    found: list[str] = []
    for url, settled in pages:
        found += desk.stands(url, settled=settled)
        desk.picture(f"{url.split('/')[1]}-{'night' if dark else 'day'}", full=True)
    assert not found, "\n".join(found)
