"""Does all that waits for a decision stand on one page, and is it answered there?"""

from collections.abc import Iterator
from uuid import uuid4

import pytest
import time_machine
from bs4 import BeautifulSoup
from django.test import Client

from tests import make
from tests.floor.story import at, report
from tests.floor.tablet import fields
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.orders.models import Part, Step
from travelers.quality import queries

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@pytest.fixture
def body(shop: make.Shop) -> Part:
    return shop.part(shop.instrument())


@pytest.fixture
def lead(shop: make.Shop) -> Iterator[Client]:
    client = Client()
    with time_machine.travel(shop.now, tick=False):
        client.force_login(shop.cast.lead)
        yield client


def page(client: Client) -> BeautifulSoup:
    return BeautifulSoup(client.get("/decisions/").content.decode(), "html.parser")


def said(found: BeautifulSoup) -> str:
    main = found.select_one("main")
    assert main
    return " ".join(main.get_text(" ").split())


def asked(shop: make.Shop, step: Step) -> None:
    told = {"step": step, "gate": "floor.not_here"}
    assert shop.scan(Wish.ASK, step.part, at="BOOTH", **told).accepted


def test_nothing_waits(lead: Client) -> None:
    assert "Nothing waits for a decision." in said(page(lead))


def test_all_sorts_stand_there_with_their_age(shop: make.Shop, lead: Client) -> None:
    one, other, third = (shop.part(each) for each in shop.instruments(3))
    machine = at(shop, one, "Machine")
    shop.must(Wish.START, machine)
    shop.must(Wish.READ, machine, readings=[shop.reading(machine, "57", "caliper")])
    report(shop, machine, "TEAR_OUT")
    shop.scan(Wish.HOLD, third, reason="papers are checked", only_part=True)
    shop.later(days=2)
    asked(shop, at(shop, other, "Saw"))
    shop.later(minutes=7)
    with time_machine.travel(shop.now, tick=False):
        lead.force_login(shop.cast.lead)
        text = said(page(lead))
    for part in (
        "The lead was asked 1",
        f"{other.instrument.serial} body · Saw",
        "Saw is not done at this station but at Saw.",
        "waits 7 min",
        "Measured outside, left open 1",
        "Out of tolerance: Pocket width 57 mm.",
        "Defects without a decision 1",
        "Held for more than a day 1",
        "papers are checked",
        "waits 2 d 0 h",
    ):
        assert part in text, text


@pytest.mark.parametrize(
    ("wish", "words"),
    [("ALLOW", "It may pass, once."), ("DECLINE", "It may not; that is said")],
)
def test_an_answer_is_given_there(
    shop: make.Shop, body: Part, lead: Client, wish: str, words: str
) -> None:
    asked(shop, at(shop, body, "Saw"))
    form = page(lead).select_one("form.waits-answer")
    assert form
    sent = {**fields(form), "reason": "seen", "wish": wish}
    answer = lead.post("/decisions/answer/", sent, follow=True)
    text = said(BeautifulSoup(answer.content.decode(), "html.parser"))
    assert words in text
    assert "Nothing waits for a decision." in text
    event = Event.objects.latest("seq")
    assert (event.kind, event.person, event.station) == (wish, shop.cast.lead, None)
    # Sent again it is the same answer.
    lead.post("/decisions/answer/", sent)
    assert Event.objects.latest("seq") == event


def test_an_answer_without_a_reason_is_asked_again(
    shop: make.Shop, body: Part, lead: Client
) -> None:
    asked(shop, at(shop, body, "Saw"))
    form = page(lead).select_one("form.waits-answer")
    assert form
    answer = lead.post("/decisions/answer/", {**fields(form), "wish": "ALLOW"})
    assert answer.status_code == 422
    assert b"floor.reason_missing" in answer.content


def test_an_answer_of_nothing_is_no_answer(lead: Client) -> None:
    assert lead.post("/decisions/answer/", {"wish": "SCRAP"}).status_code == 422
    sent = {"event_id": uuid4(), "wish": "ALLOW", "step": 10**6, "gate": "x"}
    assert lead.post("/decisions/answer/", sent).status_code == 404


def test_the_page_costs_the_same_for_more_that_waits(
    shop: make.Shop, django_assert_max_num_queries: object
) -> None:
    bodies = [shop.part(each) for each in shop.instruments(6)]
    asked(shop, at(shop, bodies[0], "Saw"))
    queries.decisions(now=shop.now)
    for body in bodies[1:]:
        asked(shop, at(shop, body, "Saw"))
    with django_assert_max_num_queries(7):  # type: ignore[operator]
        assert queries.decisions(now=shop.now).count == 6


def test_a_lead_takes_back_on_the_page_of_an_entry(
    shop: make.Shop, body: Part, lead: Client
) -> None:
    step = at(shop, body, "Saw")
    shop.must(Wish.START, step)
    done = shop.must(Wish.FINISH, step)
    loaded = shop.must(Wish.LOAD, at(shop, body, "Dry"))
    address = f"/instrument/{body.instrument.serial}/undo/{done.event_id}/"
    shown = BeautifulSoup(lead.get(address).content.decode(), "html.parser")
    assert "1 entry was built on it and goes too" in said(shown)
    form = shown.select_one("main form[action$='/']")
    assert form
    sent = {**fields(form), "reason": "wrong body"}
    assert sent["seen"] == str(loaded.event_id)
    # Without what was shown, and without a reason, it is refused and kept.
    for less, code in (({"seen": ""}, "undo_depends"), ({"reason": ""}, "missing")):
        again = lead.post(address, {**sent, **less, "event_id": uuid4()})
        assert again.status_code in (409, 422)
        assert code in again.content.decode()
    assert lead.post(address, sent).status_code == 302
    step.refresh_from_db()
    assert step.state == "RUNNING"
    gone = said(BeautifulSoup(lead.get(address).content.decode(), "html.parser"))
    assert "Saw, done: taken back by Lead Cast" in gone
    assert "goes too" not in gone
    whole = lead.get(f"/instrument/{body.instrument.serial}/").content.decode()
    assert "<s>done</s>" in whole.replace("\n", "")


def test_a_reading_that_was_taken_back_is_struck_through_and_not_counted(
    shop: make.Shop, body: Part, lead: Client
) -> None:
    step = at(shop, body, "Machine")
    shop.must(Wish.START, step)
    bad = shop.must(Wish.READ, step, readings=[shop.reading(step, "57", "caliper")])
    address = f"/instrument/{body.instrument.serial}/"
    assert "1 outside" in lead.get(address).content.decode()
    shop.must(Wish.UNDO, step, event=str(bad.event_id))
    whole = lead.get(address).content.decode()
    assert "<s>57.00 mm</s>" in whole
    assert "1 outside" not in whole
