"""What does a screen do while nothing can be stored, and when it can be again?"""

import sqlite3
from collections.abc import Callable
from typing import Any, NoReturn
from urllib.parse import parse_qs

import pytest
from django.db import OperationalError
from playwright.sync_api import Request

from tests.browser.conftest import Tablet
from tests.browser.halfway import Halfway
from travelers.floor import queries
from travelers.floor.models import Event
from travelers.floor.views import presses
from travelers.outbox import actions as outbox

PLATE = "[data-shop-fault]"


def busy(*_args: object, **_told: object) -> NoReturn:
    cause = sqlite3.OperationalError("database is locked")
    cause.sqlite_errorcode = sqlite3.SQLITE_BUSY
    raise OperationalError("database is locked") from cause


def forgive_503(tablet: Tablet) -> None:
    """Take the answers that were wanted off the list of what may never happen."""
    kept = [fault for fault in tablet.faults if not fault.startswith("503 ")]
    assert len(kept) < len(tablet.faults)
    tablet.faults[:] = kept


def test_a_press_that_was_not_stored_can_be_pressed_again(
    floor: Halfway, tablet: Callable[..., Tablet], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without script: the button stays, the press keeps its number, one effect."""
    step = floor.come_to("Saw")
    joiner: Tablet = tablet(scripts=False)
    joiner.enter(floor.shop.cast.joiner)
    numbers: list[str] = []

    def note(request: Request) -> None:
        if request.method == "POST":
            numbers.extend(parse_qs(request.post_data or "")["event_id"])

    joiner.page.on("request", note)
    joiner.go(f"/station/SAW/?code={step.part.code}")
    with monkeypatch.context() as patch:
        patch.setattr(presses, "record", busy)
        for turn in range(2):
            joiner.press("Press again" if turn else "Start")
            joiner.shows("this was not stored", "press again", "kit.records_busy")
            assert joiner.page.locator(PLATE).count() == 1
            joiner.picture("not-stored-plain")
    assert not Event.objects.filter(part=step.part).exists()
    joiner.press("Press again")
    joiner.shows("Done")
    assert joiner.page.locator(PLATE).count() == 0
    assert len(numbers) == 3
    assert len(set(numbers)) == 1
    event = Event.objects.get(part=step.part)
    assert (event.kind, event.accepted) == ("START", True)
    forgive_503(joiner)


def test_a_press_that_was_not_stored_is_kept_and_sent_by_itself(
    floor: Halfway, tablet: Callable[..., Tablet], monkeypatch: pytest.MonkeyPatch
) -> None:
    step = floor.come_to("Saw")
    joiner: Tablet = tablet()
    joiner.enter(floor.shop.cast.joiner)
    joiner.go(f"/station/SAW/?code={step.part.code}")
    with monkeypatch.context() as patch:
        patch.setattr(presses, "record", busy)
        patch.setattr(outbox, "record", busy)
        joiner.press("Start")
        joiner.shows("Kept in this tablet")
        for size in ("1280x800", "1024x768"):
            joiner.picture("not-stored", size=size)
        assert not Event.objects.filter(part=step.part).exists()
    for _ in range(300):
        if Event.objects.filter(part=step.part).exists():
            break
        joiner.page.wait_for_timeout(100)
    event = Event.objects.get(part=step.part)
    assert (event.kind, event.accepted) == ("START", True)
    forgive_503(joiner)


def test_a_screen_that_asks_by_itself_says_it_once_and_takes_it_back(
    floor: Halfway, tablet: Callable[..., Tablet], monkeypatch: pytest.MonkeyPatch
) -> None:
    board: Tablet = tablet()
    board.enter(floor.shop.cast.lead)
    board.clock.install()
    board.go("/board/")
    asked: list[Any] = []
    board.page.on("response", lambda answer: asked.append(answer.status))

    def wait_for(times: int) -> None:
        for _ in range(times):
            board.clock.run_for(5100)
            board.settle()

    with monkeypatch.context() as patch:
        patch.setattr(queries, "pulse", busy)
        wait_for(3)
        assert asked.count(503) >= 2
        assert board.page.locator(PLATE).count() == 1
        assert board.page.locator(".answer-flash").count() == 0
        assert board.page.locator("#board table, #board svg").count() > 0
        board.shows("what stands here may be old")
        for size in ("1280x800", "1024x768"):
            board.picture("board-away", size=size)
    wait_for(2)
    assert board.page.locator(PLATE).count() == 0
    forgive_503(board)
