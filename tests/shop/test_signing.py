"""Is whoever signs asked once more who it is?"""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import get_resolver
from django.urls.resolvers import URLPattern, URLResolver

from tests import make
from tests.cast import PASSWORD
from tests.desk import client, text_of
from travelers.floor.models import Hold
from travelers.floor.rules import Wish
from travelers.shop.models import Session
from travelers.shop.rules import MOST_FAILURES

pytestmark = pytest.mark.django_db
# What others rely on; whoever signs such a thing is asked.
SIGNED = {
    "decisions/answer/",
    "instrument/<str:serial>/anew/<str:code>/",
    "instrument/<str:serial>/lift/",
    "instrument/<str:serial>/swap/",
    "quality/charts/<int:number>/answer/",
    "quality/contained/",
    "quality/contained/<int:number>/",
    "quality/defects/<int:number>/",
    "quality/gauges/<str:tag>/back/",
    "quality/gauges/<str:tag>/bad/",
}


@pytest.fixture(autouse=True)
def _asked_after_ten_minutes(settings: Any) -> None:
    settings.SIGN_AGAIN_S = 600


@pytest.fixture
def hold(shop: make.Shop) -> Hold:
    body = shop.part(shop.instrument())
    assert shop.scan(Wish.HOLD, body, by="qa", reason="a knot", only_part=True).accepted
    return Hold.objects.get()


def sign_in(shop: make.Shop, name: str = "qa") -> Client:
    opened = Client()
    with time_machine.travel(shop.now, tick=False):
        opened.post("/sign-in/", {"username": name, "password": PASSWORD})
    return opened


def lift(shop: make.Shop, opened: Client, hold: Hold, **more: str):
    sent = {
        "hold": str(hold.event.event_id),
        "reason": "looked at it",
        "event_id": EVENT,
    }
    with time_machine.travel(shop.now, tick=False):
        return opened.post(f"/instrument/{hold.instrument.serial}/lift/", sent | more)


EVENT = "5f5b8e8a-7d0e-4a8c-8f63-6f6d0a1c9d01"


def is_held(hold: Hold) -> bool:
    hold.refresh_from_db()
    return hold.lifted is None


@pytest.mark.point(22)
def test_who_signed_in_just_now_is_not_asked(shop: make.Shop, hold: Hold) -> None:
    opened = sign_in(shop)
    shop.later(minutes=10)
    assert lift(shop, opened, hold).status_code == 302
    assert not is_held(hold)


@pytest.mark.point(22)
def test_later_the_name_is_said_and_the_password_asked_and_the_form_kept(
    shop: make.Shop, hold: Hold
) -> None:
    opened = sign_in(shop)
    shop.later(minutes=10, seconds=1)
    asked = lift(shop, opened, hold)
    assert asked.status_code == 403
    assert "You sign as Qa Cast" in text_of(asked)
    assert 'name="reason" value="looked at it"' in text_of(asked)
    assert f'name="event_id" value="{EVENT}"' in text_of(asked)
    assert asked.headers["Cache-Control"] == "no-store"
    assert is_held(hold)
    assert lift(shop, opened, hold, password=PASSWORD).status_code == 302
    assert not is_held(hold)


def test_the_right_password_counts_for_a_while(shop: make.Shop, hold: Hold) -> None:
    opened = sign_in(shop)
    shop.later(hours=1)
    lift(shop, opened, hold, password=PASSWORD)
    again = {"event_id": EVENT.replace("01", "02")}
    assert lift(shop, opened, hold, **again).status_code == 409
    shop.later(minutes=11)
    assert lift(shop, opened, hold, **again).status_code == 403


@pytest.mark.point(22)
def test_a_wrong_password_signs_nothing_and_too_many_end_the_session(
    shop: make.Shop, hold: Hold
) -> None:
    opened = sign_in(shop)
    key = opened.session.session_key
    shop.later(hours=1)
    for _ in range(MOST_FAILURES - 1):
        answer = lift(shop, opened, hold, password="guess")
        assert answer.status_code == 403
        assert "That is not your password." in text_of(answer)
        assert "guess" not in text_of(answer)
    assert lift(shop, opened, hold, password="guess").url == "/sign-in/"
    assert not Session.objects.filter(session_key=key).exists()
    assert is_held(hold)


def test_the_password_of_somebody_else_is_wrong(shop: make.Shop, hold: Hold) -> None:
    shop.cast.lead.set_password("of the lead")
    shop.cast.lead.save(update_fields=["password"])
    opened = sign_in(shop)
    shop.later(hours=1)
    assert lift(shop, opened, hold, password="of the lead").status_code == 403
    assert is_held(hold)


def test_a_session_that_no_password_began_is_asked(shop: make.Shop, hold: Hold) -> None:
    assert lift(shop, client(shop, "qa"), hold).status_code == 403


def test_a_shop_may_decide_never_to_ask(
    shop: make.Shop, hold: Hold, settings: Any
) -> None:
    settings.SIGN_AGAIN_S = 0
    opened = sign_in(shop)
    shop.now += timedelta(hours=8)
    assert lift(shop, opened, hold).status_code == 302


def test_all_that_is_signed_asks() -> None:
    assert {
        route
        for route, view in _views(get_resolver())
        if getattr(view, "asks_again", False)
    } == SIGNED


def _views(at: URLResolver, before: str = ""):
    for one in at.url_patterns:
        route = f"{before}{one.pattern}"
        if isinstance(one, URLPattern):
            yield route, one.callback
        else:
            yield from _views(one, route)
