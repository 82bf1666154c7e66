"""How does a part that is made anew get its wood at a desk?"""

from typing import Any
from uuid import uuid4

import pytest
from bs4 import BeautifulSoup
from django.test import Client

from tests import desk, make
from tests.floor.tablet import Tablet
from tests.quality.test_actions import defect_of
from travelers.formulas import codes
from travelers.orders.models import Instrument, Part
from travelers.quality.actions import decide
from travelers.quality.models import Defect
from travelers.quality.rules import Decision, Severity

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture
def body(shop: make.Shop) -> Part:
    body = shop.part(shop.instrument())
    shop.work(body, until="Machine")
    return body


def main(answer: Any) -> BeautifulSoup:
    found = BeautifulSoup(answer.content.decode(), "html.parser").select_one("main")
    assert found
    return found  # type: ignore[return-value]


def words(answer: Any) -> str:
    return " ".join(main(answer).get_text(" ").split())


def defect(shop: make.Shop, part: Part) -> Defect:
    step = shop.step_of(part)
    assert step
    return defect_of(shop, step, severity=Severity.STOP)


def anew(shop: make.Shop, body: Part) -> Part:
    decide(
        defect_id=defect(shop, body).pk,
        decision=Decision.REPLACE,
        by=shop.cast.qa,
        at=shop.later(minutes=1),
        reason="split",
    )
    return Part.objects.get(instead_of=body)


def address(part: Part) -> str:
    return f"/instrument/{part.instrument.serial}/anew/{part.code}/"


def test_qa_decides_and_the_planner_gives_wood(shop: make.Shop, body: Part) -> None:
    """From the defect's page to the tag of the part that is made anew."""
    found, qa = defect(shop, body), desk.client(shop, "qa")
    page = main(qa.get(f"/quality/defects/{found.pk}/"))
    offered = [str(one["value"]) for one in page.select("input[name=decision]")]
    assert {"SCRAP", "REPLACE"} <= set(offered)
    asked = {"decision": "REPLACE", "reason": "it is split"}
    qa.post(f"/quality/defects/{found.pk}/", asked)
    new = Part.objects.get(instead_of=body)
    body.refresh_from_db()
    assert (body.held_at, body.scrapped_at is not None) == (None, True)
    assert new.code[:4] in words(qa.get(f"/quality/defects/{found.pk}/"))
    planner = desk.client(shop, "planner")
    wood = shop.plank_set()
    today = main(planner.get("/"))
    assert today.select(f"a[href='{address(new)}']")
    assert main(qa.get("/decisions/")).select(f"a[href='{address(new)}']")
    page = main(planner.get(address(new)))
    button = page.select_one("button[name=set]")
    assert button
    assert button["value"] == str(wood.pk)
    assert not page.select("input[value=SCRAP]")
    form = button.find_parent("form")
    assert form
    given = {str(i["name"]): str(i.get("value", "")) for i in form.select("input")}
    answer = planner.post(str(form["action"]), {**given, "set": wood.pk}, follow=True)
    new.refresh_from_db()
    assert new.plank_set == wood
    tag = main(answer).select_one("a[href$='/tag.pdf']")
    assert tag
    pdf = planner.get(str(tag["href"]))
    assert pdf["Content-Type"] == "application/pdf"
    assert main(planner.get("/")).select(f"a[href='{address(new)}']") == []


def test_the_instruments_page_tells_of_both(shop: make.Shop, body: Part) -> None:
    new = anew(shop, body)
    seen = desk.client(shop, "planner").get(f"/instrument/{body.instrument.serial}/")
    page = main(seen)
    assert page.select(f"a[href='{address(new)}']")
    assert "scrapped" in words(seen)
    assert "waits for new wood" in words(seen)
    other = main(desk.client(shop, "joiner").get(f"/instrument/{new.instrument}/"))
    assert not other.select(f"a[href='{address(new)}']")


def press(client: Client, part: Part, **said: Any) -> Any:
    return client.post(address(part), {"event_id": uuid4(), **said})


def test_what_is_refused_is_said_there(shop: make.Shop, body: Part) -> None:
    new = anew(shop, body)
    answer = press(
        desk.client(shop, "planner"), new, wish="WOOD", set=body.plank_set_id
    )
    assert answer.status_code == 409
    assert "is allotted to order" in words(answer)
    assert press(desk.client(shop, "planner"), new, wish="WOOD").status_code == 422


@pytest.mark.twice
def test_qa_may_give_the_instrument_up(shop: make.Shop, body: Part) -> None:
    new = anew(shop, body)
    refused = press(desk.client(shop, "planner"), new, wish="SCRAP", reason="no wood")
    assert refused.status_code == 403
    answer = press(desk.client(shop, "qa"), new, wish="SCRAP", reason="no wood")
    assert answer.status_code == 302
    assert Instrument.objects.get(pk=new.instrument_id).state == "SCRAPPED"


def test_a_scan_of_the_old_tag_says_which_is_the_new(
    shop: make.Shop, body: Part
) -> None:
    new = anew(shop, body)
    tablet = Tablet(shop, "SAW").open()
    tablet.scan(body.code)
    assert "was scrapped" in tablet.text
    assert codes.grouped(new.code) in tablet.text
    tablet.scan(new.code)
    assert "waits for new wood" in tablet.text
