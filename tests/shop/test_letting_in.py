"""Is a tablet let in once by a lead's code, and is nobody given what is not his?"""

import logging
import re
from datetime import timedelta
from threading import Thread

import pytest
from django.core.management import call_command
from django.db import connections

from tests import make
from tests.desk import client, text_of
from tests.shop.bench import NUMBERS, PIN, Bench, give
from travelers.kit.refusals import Refusal, Refused
from travelers.shop.actions import (
    Enrolled,
    enrol_tablet,
    give_number,
    invite_tablet,
    issue_badges,
    new_secret,
)
from travelers.shop.models import Badge, Invitation, Person, PinTry, Session, Tablet
from travelers.shop.rules import INVITED_FOR
from travelers.shop.sessions import TABLET_COOKIE

pytestmark = pytest.mark.django_db


def invite(shop: make.Shop, station: str = "BOOTH") -> str:
    return invite_tablet(
        station=shop.cast.stations[station], by=shop.cast.lead, at=shop.now
    ).code


def enrol(shop: make.Shop, code: str, **more: object) -> Enrolled | str:
    answer = enrol_tablet(code=code, at=shop.now, **more)
    return answer.code if isinstance(answer, Refusal) else answer


def test_a_code_lets_one_tablet_in_once(shop: make.Shop) -> None:
    code = invite(shop)
    made = enrol(shop, code)
    assert isinstance(made, Enrolled)
    assert (made.tablet.name, made.tablet.station.code) == ("Booth 1", "BOOTH")
    assert made.tablet.enrolled_by == shop.cast.lead
    assert enrol(shop, code) == "shop.invitation_spent"


@pytest.mark.parametrize("written", [str.lower, lambda it: f" {it[:4]}-{it[4:]} "])
def test_a_code_is_read_as_a_hand_types_it(shop: make.Shop, written) -> None:
    assert isinstance(enrol(shop, written(invite(shop))), Enrolled)


def test_a_code_lives_for_fifteen_minutes(shop: make.Shop) -> None:
    late, just = invite(shop), invite(shop)
    shop.now += INVITED_FOR - timedelta(seconds=1)
    assert isinstance(enrol(shop, just), Enrolled)
    shop.later(seconds=1)
    assert enrol(shop, late) == "shop.invitation_spent"


@pytest.mark.parametrize("code", ["", "AAAAAAAA", "\0", "x" * 200])
def test_no_other_code_lets_in(shop: make.Shop, code: str) -> None:
    invite(shop)
    assert enrol(shop, code) == "shop.invitation_spent"


def test_a_name_is_one_tablets(shop: make.Shop) -> None:
    code = invite(shop)
    assert enrol(shop, code, name="Saw 1") == "shop.tablet_name_taken"
    assert isinstance(enrol(shop, code, name="Saw, by the window"), Enrolled)


def test_a_tablet_that_is_let_in_anew_is_put_out_where_it_was(shop: make.Shop) -> None:
    enrol(shop, invite(shop), former=shop.cast.tablet)
    assert Tablet.objects.get(pk=shop.cast.tablet.pk).revoked_by == shop.cast.lead


@pytest.mark.django_db(transaction=True)
def test_two_tablets_with_one_code_at_once_get_one_token(shop: make.Shop) -> None:
    code, got = invite(shop), []

    def let_in() -> None:
        got.append(enrol(shop, code))
        connections.close_all()

    threads = [Thread(target=let_in) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(isinstance(one, Enrolled) for one in got) == [False] * 3 + [True]
    assert Tablet.objects.filter(station__code="BOOTH").count() == 1


def test_the_lead_makes_a_code_and_a_browser_keeps_the_token(shop: make.Shop) -> None:
    lead = Bench(shop, token=None, client=client(shop, "lead"))
    page = text_of(lead.post("/tablets/", station="BOOTH"))
    found = re.search(r'invited-code">([0-9A-Z-]{9})<', page)
    assert found
    assert 'class="qr"' in page
    assert found[1] not in text_of(lead.get("/tablets/"))
    new = Bench(shop, token=None, client=client(shop, "joiner"))
    answer = new.post("/tablet/", code=found[1], name="")
    assert answer.url == "/station/BOOTH/"
    kept = answer.cookies[TABLET_COOKIE]
    assert kept["httponly"]
    assert kept["samesite"] == "Lax"
    assert kept["max-age"] > 300 * 24 * 3600
    assert not kept["secure"]
    # Whoever was signed in here by password is not, at a tablet.
    assert new.get("/station/BOOTH/").status_code == 302


def test_over_https_the_token_goes_by_https_alone(shop: make.Shop) -> None:
    code, new = invite(shop), Bench(shop, token=None)
    with new.now():
        answer = new.client.post("/tablet/", {"code": code, "name": ""}, secure=True)
    assert answer.cookies[TABLET_COOKIE]["secure"]


def test_a_code_that_is_refused_stays_typed(shop: make.Shop) -> None:
    answer = Bench(shop, token=None).post("/tablet/", code="AAAA-AAAA", name="Mine")
    assert answer.status_code == 422
    assert "AAAA-AAAA lets no tablet in" in text_of(answer)
    assert 'value="Mine"' in text_of(answer)


# --- Numbers, PINs and badges


def person(shop: make.Shop, name: str = "joiner") -> Person:
    return Person.objects.get(username=name)


def test_a_lead_gives_a_number_and_a_pin(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    sent = {"number": "0042", "pin": PIN, "again": PIN}
    assert lead.post("/people/joiner/", sent).status_code == 302
    assert Bench(shop).pin("0042").status_code == 302
    assert PIN not in person(shop).pin


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"number": "9000"}, "The number 9000 is somebody else"),
        ({"number": "42"}, "Type four digits."),
        ({"number": "abcd"}, "Type four digits."),
        ({"pin": "12345", "again": "12345"}, "Type six digits."),
        ({"pin": "123456", "again": "123456"}, "Guessers begin with"),
        ({"again": "271829"}, "The two are not the same"),
        ({"pin": ""}, "This field is required."),
    ],
)
def test_what_cannot_be_given_is_said_beside_its_field(
    shop: make.Shop, change: dict[str, str], said: str
) -> None:
    give(shop, "finisher")
    sent = {"number": "0042", "pin": PIN, "again": PIN, **change}
    answer = client(shop, "lead").post("/people/joiner/", sent)
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert person(shop).number is None
    assert sent["pin"] not in text_of(answer) or not sent["pin"]


def test_the_verb_asks_the_same(shop: make.Shop) -> None:
    give(shop, "finisher")
    for number, pin, code in (
        ("0042", "111111", "shop.pin_easy"),
        ("9000", PIN, "shop.number_taken"),
    ):
        with pytest.raises(Refused) as no:
            give_number(person=person(shop), number=number, pin=pin, by=shop.cast.lead)
        assert no.value.refusal.code == code


def test_a_lead_gives_qa_neither_pin_nor_badge(shop: make.Shop) -> None:
    """Else a lead could sign as QA."""
    qa, lead, admin = shop.cast.qa, shop.cast.lead, shop.cast.admin
    with pytest.raises(Refused, match=r"shop\.given_by_admin"):
        give_number(person=qa, number="0042", pin=PIN, by=lead)
    with pytest.raises(Refused, match=r"shop\.given_by_admin"):
        issue_badges(made={qa: new_secret()}, by=lead, at=shop.now)
    assert "given out by an admin" in text_of(client(shop, "lead").get("/people/qa/"))
    give_number(person=qa, number="0042", pin=PIN, by=admin)
    issue_badges(made={qa: new_secret()}, by=admin, at=shop.now)


def test_a_new_pin_ends_what_the_old_one_began(shop: make.Shop) -> None:
    give(shop, "joiner")
    bench = Bench(shop)
    bench.pin(NUMBERS["joiner"])
    assert bench.who() == "joiner"
    give_number(person=person(shop), number="0417", pin="602214", by=shop.cast.lead)
    assert bench.who() == ""
    assert bench.pin("0417").status_code == 403
    assert bench.pin("0417", "602214").status_code == 302


def test_the_lead_sees_and_lifts_a_pause(shop: make.Shop) -> None:
    give(shop, "joiner")
    bench = Bench(shop)
    for _ in range(5):
        bench.pin("0417", "000001")
    lead = Bench(shop, token=None, client=client(shop, "lead"))
    assert "paused" in text_of(lead.get("/people/"))
    assert "too often at Saw 1" in text_of(lead.get("/people/joiner/"))
    assert bench.pin("0417").status_code == 403
    assert lead.post("/people/joiner/pause/lift/").status_code == 302
    assert bench.pin("0417").status_code == 302


def test_one_badge_of_a_person_is_in_force(shop: make.Shop) -> None:
    for _ in range(3):
        give(shop, "joiner")
    badges = Badge.objects.filter(person=shop.cast.joiner)
    assert (badges.count(), badges.filter(revoked_at=None).count()) == (3, 1)


def test_the_lead_takes_a_badge_out_of_force(shop: make.Shop) -> None:
    badge = give(shop, "joiner")["joiner"]
    bench, lead = Bench(shop), client(shop, "lead")
    bench.badge(badge)
    assert lead.post("/people/joiner/badge/revoke/").status_code == 302
    assert bench.who() == ""
    assert bench.badge(badge).status_code == 403
    assert lead.post("/people/joiner/badge/revoke/").status_code == 302


def test_the_lists_show_who_is_signed_in_and_when_it_was_heard(shop: make.Shop) -> None:
    give(shop, "joiner")
    bench, lead = Bench(shop), Bench(shop, token=None, client=client(shop, "lead"))
    bench.pin("0417")
    bench.get("/station/SAW/")
    page = text_of(lead.get("/tablets/"))
    assert "Saw 1" in page
    assert "Joiner Cast" in page
    lead.post(f"/tablets/{shop.cast.tablet.pk}/revoke/")
    page = text_of(lead.get("/tablets/"))
    assert "put out" in page
    assert "Joiner Cast" not in page


@pytest.mark.parametrize("address", ["/tablets/999/revoke/", "/people/nobody/"])
def test_what_is_not_there_is_said(shop: make.Shop, address: str) -> None:
    assert client(shop, "lead").post(address).status_code == 404


# --- S8: no secret is anywhere but with its owner


def test_s8_no_secret_is_in_the_database_or_the_log(
    shop: make.Shop, tmp_path, caplog: pytest.LogCaptureFixture
) -> None:
    """Each secret of a day is looked for in a whole dump and in all that was logged."""
    with caplog.at_level(logging.DEBUG):
        badges = give(shop)
        code = invite(shop)
        made = enrol(shop, code)
        assert isinstance(made, Enrolled)
        bench = Bench(shop, token=made.token)
        bench.badge(badges["joiner"])
        bench.get("/station/BOOTH/", data={"code": badges["finisher"]})
        bench.pin(NUMBERS["joiner"], "161803")
        bench.pin(NUMBERS["joiner"])
    assert Session.objects.filter(tablet=made.tablet).count() == 1
    assert PinTry.objects.filter(tablet=made.tablet).exists()
    assert Invitation.objects.filter(used_at=shop.now).exists()
    dump = tmp_path / "dump.json"
    call_command("dumpdata", output=str(dump))
    kept = dump.read_text(encoding="utf-8") + caplog.text
    assert "shop.badge" in kept
    secrets = [link.rpartition("/")[2] for link in badges.values()]
    for secret in (*secrets, code, made.token):
        assert secret not in kept
    # A digest may well have six digits in a row that are a PIN, too.
    for pin in (PIN, "161803"):
        assert not re.search(rf"(?<![0-9a-f]){pin}(?![0-9a-f])", kept)
