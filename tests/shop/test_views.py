"""Does one get in with the right password only, and where one was going?"""

import pytest
from django.conf import settings
from django.test import Client, RequestFactory
from django.urls import resolve

from tests import make
from tests.cast import PASSWORD
from tests.desk import client, text_of
from tests.strict import no_queries
from travelers.shop.context import SIGNPOSTS, navigation
from travelers.shop.models import Person, Session
from travelers.shop.rules import Role

pytestmark = [pytest.mark.django_db, pytest.mark.once]

SIGN_IN = "/sign-in/"


def sign_in(opened: Client, **typed: str):
    return opened.post(SIGN_IN, {"username": "planner", "password": PASSWORD} | typed)


def test_a_person_signs_in_and_stands_on_the_front_page(shop: make.Shop) -> None:
    opened = Client()
    assert sign_in(opened).url == "/"
    assert opened.get("/").status_code == 200


def test_a_wrong_password_is_refused_and_the_name_stays(shop: make.Shop) -> None:
    opened = Client()
    answer = sign_in(opened, password="guess")
    assert answer.status_code == 200
    assert 'value="planner"' in text_of(answer)
    assert "guess" not in text_of(answer)
    assert opened.get("/").status_code == 302


def test_whoever_left_comes_in_no_more(shop: make.Shop) -> None:
    Person.objects.filter(username="planner").update(is_active=False)
    assert sign_in(Client()).status_code == 200


def test_a_stranger_is_sent_to_sign_in_and_then_onward(shop: make.Shop) -> None:
    opened = Client()
    answer = opened.get("/orders/?leaf=2")
    assert answer.url == "/sign-in/?next=/orders/%3Fleaf%3D2"
    page = opened.get(answer.url)
    assert 'name="next" value="/orders/?leaf=2"' in text_of(page)
    assert sign_in(opened, next="/orders/?leaf=2").url == "/orders/?leaf=2"


@pytest.mark.parametrize(
    "next_", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:x()"]
)
def test_nobody_is_sent_to_another_house(shop: make.Shop, next_: str) -> None:
    assert sign_in(Client(), next=next_).url == "/"


@pytest.mark.twice
def test_signing_in_gives_the_session_a_new_key(shop: make.Shop) -> None:
    opened = Client()
    session = opened.session
    session["planted"] = True
    session.save()
    opened.cookies[settings.SESSION_COOKIE_NAME] = session.session_key or ""
    planted = session.session_key
    sign_in(opened)
    assert opened.session.session_key != planted
    assert not Session.objects.filter(session_key=planted).exists()


def test_the_next_at_the_tablet_does_not_inherit(shop: make.Shop) -> None:
    opened = Client()
    sign_in(opened)
    opened.session["drawer"] = "planner's"
    first = opened.session.session_key
    sign_in(opened, username="joiner")
    assert opened.session.session_key != first
    assert "drawer" not in opened.session
    assert opened.get("/orders/").status_code == 403


def test_signing_out_is_a_deed_and_ends_the_session(shop: make.Shop) -> None:
    opened = client(shop, "planner")
    assert opened.get("/sign-out/").status_code == 405
    assert opened.get("/").status_code == 200
    key = opened.session.session_key
    assert opened.post("/sign-out/").url == SIGN_IN
    assert opened.get("/").status_code == 302
    assert not Session.objects.filter(session_key=key).exists()


def test_a_sign_in_without_its_token_is_refused(shop: make.Shop) -> None:
    guarded = Client(enforce_csrf_checks=True)
    assert sign_in(guarded).status_code == 403


PLACES = {
    "joiner": ["/", "/stations/", "/board/", "/lumber/", "/rooms/"],
    "lead": [
        "/",
        "/stations/",
        "/board/",
        "/orders/",
        "/lumber/",
        "/rooms/",
        "/quality/defects/",
        "/decisions/",
        "/late/",
        "/people/",
    ],
    "planner": [
        "/",
        "/stations/",
        "/board/",
        "/orders/",
        "/lumber/",
        "/rooms/",
        "/routes/",
        "/quality/defects/",
    ],
    "engineer": ["/", "/board/", "/orders/", "/routes/"],
    "outsider": [],
}


def places(shop: make.Shop, name: str, path: str = "/"):
    request = RequestFactory().get(path)
    request.user = shop.cast.people[name]
    request.resolver_match = resolve(path)
    with no_queries():
        return navigation(request)["nav"]()


@pytest.mark.parametrize("name", PLACES)
def test_the_head_leads_where_a_role_has_work(shop: make.Shop, name: str) -> None:
    assert [place.url for place in places(shop, name)] == PLACES[name]


def test_an_admin_is_led_everywhere(shop: make.Shop) -> None:
    assert len(places(shop, "admin")) == len(SIGNPOSTS)


@pytest.mark.parametrize(
    ("path", "here"),
    [
        ("/", "/"),
        ("/stations/", "/stations/"),
        ("/board/LUMBER/BODY/", "/board/"),
        ("/orders/new/", "/orders/"),
        ("/lumber/plank/D1-01/", "/lumber/"),
        ("/instrument/W00001/", "/stations/"),
    ],
)
def test_the_head_says_where_one_is(shop: make.Shop, path: str, here: str) -> None:
    assert [p.url for p in places(shop, "planner", path) if p.current] == [here]


def test_every_place_leads_somewhere_for_whom_it_is_shown(shop: make.Shop) -> None:
    for name in ("joiner", "lead", "planner", "qa", "engineer", "admin"):
        opened = client(shop, name)
        for place in places(shop, name):
            assert opened.get(place.url).status_code == 200, (name, place.url)


def test_a_person_has_the_roles_that_are_ticked(shop: make.Shop) -> None:
    lead = shop.cast.lead
    lead.is_operator = True
    assert lead.roles == (Role.OPERATOR, Role.LEAD)
    assert lead.has("lead")
    assert not lead.has(Role.QA)
    with pytest.raises(ValueError, match="king"):
        lead.has("king")
