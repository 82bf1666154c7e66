"""Does the lead see what came late and was refused, until somebody saw to it?"""

from datetime import UTC, datetime

import pytest
from bs4 import BeautifulSoup

from tests.constraints import change, refuses
from tests.desk import client, text_of
from tests.floor import story
from tests.outbox.tablet import Outbox
from travelers.floor.rules import Wish
from travelers.outbox.models import Latecomer

pytestmark = pytest.mark.django_db


@pytest.fixture
def late(outbox: Outbox) -> Latecomer:
    shop = outbox.shop
    step = story.at(shop, shop.part(shop.instrument()), "Saw")
    outbox.press(Wish.FINISH, step)
    shop.later(minutes=20)
    outbox.send()
    return Latecomer.objects.get()


def test_it_says_what_who_when_why_and_what_to_do(
    outbox: Outbox, late: Latecomer
) -> None:
    assert late.instrument
    page = text_of(client(outbox.shop, "lead").get("/late/"))
    said = " ".join(BeautifulSoup(page, "html.parser").get_text(" ").split())
    for words in (
        "Done", late.instrument.serial, "Saw", "Joiner Cast", "10 Mar 2026, 09:30",
        "Saw is ready and cannot be changed that way.",
        "Scan the part again to see what can be done now.", "floor.not_now",
    ):  # fmt: skip
        assert words in said
    assert f'href="/instrument/{late.instrument.serial}/"' in page


def test_whoever_sees_to_it_is_written_down_once(
    outbox: Outbox, late: Latecomer
) -> None:
    shop = outbox.shop
    lead, qa = client(shop, "lead"), client(shop, "qa")
    url = f"/late/{late.pk}/seen/"
    assert lead.post(url).status_code == 302
    late.refresh_from_db()
    assert late.seen_by == shop.cast.lead
    again = qa.post(url)
    assert again.status_code == 409
    assert "Lead Cast saw to this on" in text_of(again)
    late.refresh_from_db()
    assert late.seen_by == shop.cast.lead
    page = text_of(lead.get("/late/"))
    assert "Nothing waits to be seen to." in page
    assert "Lead Cast" in page


def test_what_was_accepted_is_not_listed(outbox: Outbox) -> None:
    shop = outbox.shop
    step = story.at(shop, shop.part(shop.instrument()), "Saw")
    outbox.press(Wish.START, step)
    shop.later(hours=5)
    assert outbox.send()[0]["accepted"]
    assert not Latecomer.objects.exists()


def test_a_damaged_one_is_listed_too(outbox: Outbox) -> None:
    outbox.send([{"id": "x", "data": {"reason": "<script>"}}, 7])
    page = text_of(client(outbox.shop, "qa").get("/late/"))
    assert page.count("outbox.unreadable") == 2
    assert "not known" in page
    assert "sent under Joiner Cast" in page
    assert "<script>" not in page


def test_a_latecomer_says_why_and_who_saw_to_it(
    outbox: Outbox, late: Latecomer
) -> None:
    at = datetime(2026, 3, 11, tzinfo=UTC)
    refuses("latecomer_says_why_it_was_refused", change(late, refusal=""))
    refuses("latecomer_seen_says_by_whom", change(late, seen_at=at))
    refuses("latecomer_seen_says_by_whom", change(late, seen_by=outbox.shop.cast.lead))
