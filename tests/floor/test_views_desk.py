"""What does a desk see of an instrument, and how is one found, held and let go?"""

from typing import Any
from uuid import uuid4

import pytest
from bs4 import BeautifulSoup
from django.http import HttpResponse
from django.test import Client

from tests import desk, make
from tests.floor import story
from travelers.floor.models import Event, Hold
from travelers.floor.rules import Wish
from travelers.formulas import codes
from travelers.orders.models import Part

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def words(answer: HttpResponse) -> str:
    page = BeautifulSoup(answer.content.decode(), "html.parser")
    main = page.select_one("main")
    assert main
    return " ".join(main.get_text(" ").split())


def look(shop: make.Shop, serial: str, by: str = "planner") -> str:
    answer = desk.client(shop, by).get(f"/instrument/{serial}/")
    assert answer.status_code == 200
    return words(answer)


def test_the_page_tells_an_instruments_life() -> None:
    told = story.tell()
    serial = told.finished.serial
    text = look(told.shop, serial)
    assert text.startswith(f"{serial} Wren, Tide Green Finished")
    assert "Order W001" in text
    assert "Due 1 Sep 2026" in text
    assert "let pass by" in text
    assert "thin piece, will even out" in text
    assert "Out of tolerance: Moisture 9.4 %." in text
    assert "floor.out_of_tolerance" in text
    assert "Moisture 9.4 %" in text
    assert "–7.2" in text
    assert "too high" in text
    body = told.shop.part(told.finished)
    assert body.plank_set
    assert body.plank_set.number in text
    assert body.plank_set.plank.number in text
    assert "Fraxinus excelsior" in text
    assert "Marsh Timber" in text
    assert "run" in text


def test_the_page_shows_where_each_part_is(shop: make.Shop, body: Part) -> None:
    shop.work(body, until="Dry")
    shop.must(Wish.LOAD, body.steps.get(operation__name="Dry"))
    text = look(shop, body.instrument.serial)
    assert f"Body {codes.grouped(body.code)}" in text
    assert "drying or curing Drying, since" in text
    assert "1 of 9 done" in text
    assert "not begun" in text
    assert "Nothing is held and nothing was." in text


def test_the_part_that_was_scanned_is_marked(shop: make.Shop, body: Part) -> None:
    neck = shop.part(body.instrument, "NECK")
    answer = desk.client(shop, "planner").get(f"/T/{neck.code}", follow=True)
    page = BeautifulSoup(answer.content.decode(), "html.parser")
    marked = page.select("[aria-current=true]")
    assert len(marked) == 1
    assert codes.grouped(neck.code) in marked[0].get_text()


def test_the_page_costs_the_same_however_much_was_recorded() -> None:
    told = story.tell()
    asking = desk.client(told.shop, "qa")
    quiet = told.shop.instrument()
    few = desk.queries_of(asking, f"/instrument/{quiet.serial}/")
    many = desk.queries_of(asking, f"/instrument/{told.finished.serial}/")
    # The names of defect kinds and of checks are asked for only where there are some.
    assert many <= few + 2


def test_an_instrument_that_is_not_there(shop: make.Shop) -> None:
    answer = desk.client(shop, "planner").get("/instrument/X99999/")
    assert answer.status_code == 404
    assert b"kit.not_found" in answer.content


def press(client: Client, serial: str, verb: str, **said: str) -> tuple[Any, str]:
    """Press a button of the instrument's page as it stands now."""
    page = BeautifulSoup(
        client.get(f"/instrument/{serial}/").content.decode(), "html.parser"
    )
    form = page.select_one(f"form[action='/instrument/{serial}/{verb}/']")
    assert form, f"The page has no way to {verb}."
    data = {str(i["name"]): str(i.get("value", "")) for i in form.select("input[name]")}
    answer = client.post(str(form["action"]), {**data, **said})
    return answer, data["event_id"]


def test_a_lead_holds_and_lifts_with_reasons(shop: make.Shop, body: Part) -> None:
    lead, serial = desk.client(shop, "lead"), body.instrument.serial
    code = shop.part(body.instrument, "ASSEMBLY").code
    answer, _ = press(lead, serial, "hold", code=code, reason="look at the grain")
    assert answer.status_code == 302
    hold = Hold.objects.get()
    assert (hold.part, hold.reason) == (None, "look at the grain")
    text = look(shop, serial)
    assert "look at the grain – the whole instrument" in text
    answer, _ = press(lead, serial, "lift", reason="")
    assert answer.status_code == 422
    assert "A reason is needed and none was given." in words(answer)
    answer, _ = press(lead, serial, "lift", reason="it is fine")
    assert answer.status_code == 302
    assert "The hold is off." in words(lead.get(f"/instrument/{serial}/"))
    assert "lifted by Lead Cast" in look(shop, serial)


def test_one_part_can_be_held_alone(shop: make.Shop, body: Part) -> None:
    lead = desk.client(shop, "lead")
    press(lead, body.instrument.serial, "hold", code=body.code, reason="knot")
    assert Hold.objects.get().part == body
    assert "knot – body" in look(shop, body.instrument.serial)


@pytest.mark.twice
def test_an_operator_may_hold_but_not_lift(shop: make.Shop, body: Part) -> None:
    joiner, serial = desk.client(shop, "joiner"), body.instrument.serial
    press(joiner, serial, "hold", code=body.code, reason="knot")
    hold = Hold.objects.get()
    page = joiner.get(f"/instrument/{serial}/").content.decode()
    assert f'action="/instrument/{serial}/lift/"' not in page
    answer = joiner.post(
        f"/instrument/{serial}/lift/",
        {
            "event_id": str(uuid4()),
            "hold": str(hold.event.event_id),
            "reason": "I say so",
        },
    )
    assert answer.status_code == 403
    assert "Joiner Cast does not do this kind of work here." in words(answer)
    hold.refresh_from_db()
    assert hold.lifted is None
    assert Event.objects.filter(kind=Wish.LIFT, accepted=False).count() == 1


def test_who_only_plans_sees_no_way_to_hold(shop: make.Shop, body: Part) -> None:
    page = desk.client(shop, "planner").get(f"/instrument/{body.instrument.serial}/")
    assert "/hold/" not in page.content.decode()


@pytest.mark.twice
def test_a_hold_sent_twice_is_one_hold(shop: make.Shop, body: Part) -> None:
    lead, serial = desk.client(shop, "lead"), body.instrument.serial
    _, used = press(lead, serial, "hold", code=body.code, reason="knot")
    again, _ = press(lead, serial, "hold", code=body.code, reason="knot", event_id=used)
    assert again.status_code == 302
    assert Hold.objects.count() == 1


def test_opening_the_address_of_a_hold_shows_the_instrument(
    shop: make.Shop, body: Part
) -> None:
    client, serial = desk.client(shop, "lead"), body.instrument.serial
    for verb in ("hold", "lift"):
        answer = client.get(f"/instrument/{serial}/{verb}/")
        assert answer.headers["Location"] == f"/instrument/{serial}/"


@pytest.mark.twice
def test_a_symbol_opens_what_it_names(shop: make.Shop, body: Part) -> None:
    client, serial = desk.client(shop, "planner"), body.instrument.serial
    assert body.plank_set
    piece = body.plank_set.pieces.first()
    station = shop.cast.stations["SAW"]
    assert piece
    for code, leads in (
        (body.code, f"/instrument/{serial}/?part={body.code}"),
        (piece.code, f"/instrument/{serial}/"),
        (body.plank_set.code, f"/instrument/{serial}/"),
        (station.tag, "/station/SAW/"),
    ):
        answer = client.get(f"/T/{code}")
        assert (answer.status_code, answer.headers["Location"]) == (302, leads)


def test_a_symbol_of_something_else_says_so(shop: make.Shop) -> None:
    client, plank_set = desk.client(shop, "planner"), shop.plank_set()
    answer = client.get(f"/T/{plank_set.code}")
    assert answer.status_code == 404
    assert f"made of plank set {plank_set.number} yet" in words(answer)
    for code, refusal in (("P000010G", "floor.code_misread"), ("P00", "code_short")):
        answer = client.get(f"/T/{code}")
        assert answer.status_code == 404
        assert refusal in words(answer)


@pytest.mark.parametrize(
    "url",
    [
        "/station/S%00W/",
        "/station/SAW/?code=P%00&step=%00",
        "/instrument/W%0000001/",
        "/find/?q=%00P%00",
        "/T/P%00000010",
    ],
)
def test_a_character_that_no_database_takes_is_no_fault(
    shop: make.Shop, url: str
) -> None:
    assert desk.client(shop, "planner").get(url).status_code in {200, 404}


@pytest.mark.parametrize(
    "url", ["/station/SAW/", "/instrument/W00001/", "/find/", "/T/P000010F"]
)
def test_nobody_looks_without_signing_in(shop: make.Shop, url: str) -> None:
    answer = Client().get(url)
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith("/sign-in/?next=")
