"""Does nothing of a person stay at a tablet for the next, with or without network?

Points 25 and 40: after signing out, after another's badge, after nobody was there for
too long, and with a page whose copy was just being kept when somebody left.
"""

import threading
from typing import Any

import pytest
from django.conf import settings
from django.http import HttpRequest
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Page

from tests.browser.alone import apart
from tests.browser.alone.apart import Alone, World, until, waiting
from tests.browser.alone.hands import away, card, go, press, scan
from tests.cast import TOKEN
from tests.shop.bench import give
from travelers.floor.models import Event
from travelers.floor.views import looking
from travelers.formulas.cards import Command
from travelers.shop.models import Session
from travelers.shop.sessions import TABLET_COOKIE

KEPT = """caches.match("/station/SAW/").then(Boolean)"""
COVER = "dialog.idle-out"


@pytest.fixture(scope="module")
def badges(world: World) -> dict[str, str]:
    return give(world.shop)


@pytest.fixture
def enrolled(tablet: Alone, badges: dict[str, str]) -> Alone:
    """Give the saw's own tablet, the joiner signed in by a badge."""
    page = tablet.open()
    assert tablet.context
    tablet.context.add_cookies(
        [{"name": TABLET_COOKIE, "value": TOKEN, "url": tablet.home}]
    )
    signs_in(page, tablet, badges["joiner"])
    go(page, tablet)
    return tablet


def signs_in(page: Page, tablet: Alone, badge: str) -> None:
    page.goto(f"{tablet.home}/sign-in/?next=/station/SAW/")
    scan(page, badge)
    until(page, lambda: page.locator("#outbox").count() == 1)


def page_of(tablet: Alone) -> Page:
    assert tablet.context
    return tablet.context.pages[-1]


def stays_shut(page: Page, url: str) -> None:
    """Open a station that no page is kept of: the browser says that nobody answers."""
    with pytest.raises(PlaywrightError, match="ERR_"):
        page.goto(url)
    assert "Joiner" not in page.inner_text("body")


@pytest.mark.point(25)
def test_after_signing_out_nothing_is_shown_without_network(
    world: World, server: apart.Shop, enrolled: Alone
) -> None:
    page = page_of(enrolled)
    assert page.evaluate(KEPT)
    press(page, "Joiner Cast leave")
    until(page, lambda: "/sign-in/" in page.url)
    until(page, lambda: not page.evaluate(KEPT))
    server.stop()
    stays_shut(page, f"{enrolled.home}/station/SAW/")
    stays_shut(page, f"{enrolled.home}/station/SAW/several/?wish=LOAD")
    for _ in range(2):
        try:
            page.go_back(timeout=3000)
        except PlaywrightError:
            continue
        assert "Joiner" not in page.inner_text("body")


@pytest.mark.point(25)
def test_a_copy_that_was_being_kept_when_somebody_left_is_not_kept(
    world: World,
    server: apart.Shop,
    tablet: Alone,
    badges: dict[str, str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked, answered = threading.Event(), threading.Event()
    lists = looking.lists

    def slowly(request: HttpRequest, *given: Any, **named: Any) -> Any:
        made = lists(request, *given, **named)
        if "Shop-Keep" in request.headers:
            asked.set()
            answered.wait(timeout=20)
        return made

    monkeypatch.setattr(looking, "lists", slowly)
    page = tablet.open()
    assert tablet.context
    tablet.context.add_cookies(
        [{"name": TABLET_COOKIE, "value": TOKEN, "url": tablet.home}]
    )
    signs_in(page, tablet, badges["joiner"])
    until(page, asked.is_set)
    press(page, "Joiner Cast leave")
    until(page, lambda: "/sign-in/" in page.url)
    answered.set()
    page.wait_for_timeout(800)
    server.stop()
    stays_shut(page, f"{tablet.home}/station/SAW/")


@pytest.mark.point(25)
def test_after_another_badge_only_the_new_persons_page_is_kept(
    world: World, server: apart.Shop, enrolled: Alone, badges: dict[str, str]
) -> None:
    page = page_of(enrolled)
    scan(page, badges["finisher"])
    until(page, lambda: "Finisher Cast" in page.inner_text("#person"))
    go(page, enrolled)
    server.stop()
    page.goto(f"{enrolled.home}/station/SAW/")
    assert "Finisher Cast" in page.inner_text("#person")
    assert "Joiner" not in page.content()


@pytest.mark.point(25)
def test_who_leaves_without_network_is_gone_and_signed_out_when_it_is_back(
    world: World, server: apart.Shop, enrolled: Alone, badges: dict[str, str]
) -> None:
    page = page_of(enrolled)
    body = world.another()
    go(page, enrolled)
    server.stop()
    scan(page, body.code)
    away(page)
    press(page, "Start")
    assert enrolled.context
    (key,) = (
        str(one["value"])
        for one in enrolled.context.cookies()
        if one["name"] == settings.SESSION_COOKIE_NAME
    )
    page.once("dialog", lambda dialog: dialog.accept())
    press(page, "Joiner Cast leave")
    until(page, lambda: page.locator(COVER).count() == 1)
    assert "Nobody is signed in." in page.inner_text(COVER)
    # Under the cover neither hand nor scanner presses anything in that name.
    scan(page, body.code)
    card(page, Command.UNDO, Command.HOLD, Command.NEXT)
    assert waiting(page) == 1
    until(page, lambda: not page.evaluate(KEPT))
    server.start()
    until(page, lambda: "/sign-in/" in page.url, seconds=20)
    until(page, lambda: not page.evaluate(KEPT))
    assert not Session.objects.filter(session_key=key).exists()
    server.stop()
    stays_shut(page, f"{enrolled.home}/station/SAW/")
    # What waited is sent all the same, as the joiner's, whoever comes next.
    server.start()
    signs_in(page, enrolled, badges["finisher"])
    until(page, lambda: waiting(page) == 0, seconds=20)
    assert Event.objects.get(part=body).person == world.shop.cast.joiner


@pytest.mark.point(25)
def test_a_page_opened_again_after_a_long_while_is_nobodys(
    world: World, server: apart.Shop, lasting: Alone, enrolled: Alone
) -> None:
    """Switched off in the evening, switched on in the morning, and no network."""
    page = page_of(enrolled)
    body = world.another()
    go(page, enrolled)
    server.stop()
    scan(page, body.code)
    away(page)
    enrolled.close()
    # Soon again, it is still the same person's.
    page = enrolled.open()
    page.goto(f"{enrolled.home}/station/SAW/")
    away(page)
    assert page.locator(COVER).count() == 0
    enrolled.close()
    enrolled.shift_ms += 16 * 3600 * 1000
    page = enrolled.open()
    page.goto(f"{enrolled.home}/station/SAW/")
    until(page, lambda: page.locator(COVER).count() == 1)
    scan(page, body.code)
    assert waiting(page) == 0
    until(page, lambda: not page.evaluate(KEPT))
