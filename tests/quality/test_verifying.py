"""Is a rework looked at once it is through, by QA, and once?"""

from typing import Any

import pytest

from tests import make
from tests.desk import client
from tests.quality.test_actions import defect_of, operation, settle
from tests.standing import kept
from travelers.kit.refusals import Refused
from travelers.orders.models import Part, Step
from travelers.quality import queries
from travelers.quality.actions import verify
from travelers.quality.models import Defect, Verification
from travelers.quality.rules import Decision

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@kept
def defect(shop: make.Shop) -> Defect:
    """A run that sends a body back to the lacquer and through the cure."""
    body = shop.part(shop.instrument())
    shop.work(body, until="Inspect body")
    step = shop.step_of(body)
    assert step
    found = defect_of(shop, step, kind="RUN")
    settle(shop, found, Decision.REWORK, from_operation_id=operation("Lacquer").pk)
    return found


def look_at(shop: make.Shop, defect: Defect, by: str = "qa") -> Verification:
    person = getattr(shop.cast, by)
    return verify(defect_id=defect.pk, by=person, at=shop.now, note="no run left")


def refused(shop: make.Shop, defect: Defect, **more: Any) -> Any:
    before = Verification.objects.count()
    with pytest.raises(Refused) as no:
        look_at(shop, defect, **more)
    assert Verification.objects.count() == before
    return no.value.refusal


@pytest.mark.twice
def test_a_rework_is_looked_at_once_it_is_through(
    shop: make.Shop, defect: Defect
) -> None:
    early = refused(shop, defect)
    assert (early.code, early.words) == (
        "quality.not_through",
        {"operation": "Lacquer"},
    )
    assert queries.reworks_to_verify() == ()
    shop.work(defect.part)
    (waiting,) = queries.reworks_to_verify()
    assert waiting.defect_id == defect.pk
    assert [one.name for one in waiting.again] == ["Lacquer", "Cure", "Inspect body"]
    seen = look_at(shop, defect)
    assert (seen.by, seen.verified_at, seen.note) == (
        shop.cast.qa,
        shop.now,
        "no run left",
    )
    assert queries.reworks_to_verify() == ()


@pytest.mark.twice
def test_it_is_looked_at_once_and_by_qa(shop: make.Shop, defect: Defect) -> None:
    shop.work(defect.part)
    assert refused(shop, defect, by="lead").code == "kit.not_your_role"
    look_at(shop, defect)
    assert refused(shop, defect).code == "quality.already_verified"


def test_what_was_not_done_again_is_not_looked_at(shop: make.Shop) -> None:
    body: Part = shop.part(shop.instrument())
    step = shop.step_of(body)
    assert step
    shop.work(body, until="Machine")
    found = defect_of(shop, Step.objects.get(part=body, operation__name="Machine"))
    assert refused(shop, found).code == "quality.nothing_to_verify"
    settle(shop, found, Decision.USE_AS_IS)
    assert refused(shop, found).code == "quality.nothing_to_verify"


def test_qa_finds_it_in_the_list_and_says_so(shop: make.Shop, defect: Defect) -> None:
    shop.work(defect.part)
    desk = client(shop, "qa")
    listed = desk.get("/quality/defects/").content.decode()
    assert "Put right, waits for a look" in listed
    page = desk.get(f"/quality/defects/{defect.pk}/").content.decode()
    assert "I looked: it is good" in page
    assert f"/paper/rework/{defect.pk}.pdf" in page
    verified = desk.post(
        f"/quality/defects/{defect.pk}/verify/", {"note": "level"}, follow=True
    )
    said = verified.content.decode()
    assert "The rework is found good." in said
    assert "level" in said
    assert "I looked: it is good" not in said
    assert "waits for a look" not in desk.get("/quality/defects/").content.decode()
    again = desk.post(f"/quality/defects/{defect.pk}/verify/", {"note": "x" * 201})
    assert again.status_code == 422
    lead = client(shop, "lead").get(f"/quality/defects/{defect.pk}/")
    assert "level" in lead.content.decode()
