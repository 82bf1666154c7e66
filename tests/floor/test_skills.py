"""Where a shop asks for qualified people, do others not do the work?"""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests import make
from tests.floor.tablet import Tablet, events
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.orders.models import Part
from travelers.routes.rules import OperationKind
from travelers.shop.models import NeedsQualification, Qualification, Stage
from travelers.shop.rules import Work

pytestmark = pytest.mark.django_db


def ask(stage: str = "LUMBER", kind: str = "WORK") -> NeedsQualification:
    return NeedsQualification.objects.create(
        stage=Stage.objects.get(code=stage), kind=kind
    )


def qualify(shop: make.Shop, stage: str = "LUMBER", **more: object) -> Qualification:
    return Qualification.objects.create(
        person=shop.cast.joiner, stage=Stage.objects.get(code=stage),
        **{"kind": "WORK", **more},
    )  # fmt: skip


def start(shop: make.Shop, body: Part) -> str:
    refusal = shop.scan(Wish.START, body).refusal
    return refusal.code if refusal else ""


def test_the_kinds_are_those_of_the_routes() -> None:
    assert {str(kind) for kind in Work} == {str(kind) for kind in OperationKind}


def test_whoever_is_not_qualified_does_not_begin(shop: make.Shop, body: Part) -> None:
    ask()
    assert start(shop, body) == "floor.not_qualified"
    qualify(shop)
    assert start(shop, body) == ""


def test_what_is_asked_elsewhere_stops_nobody_here(shop: make.Shop, body: Part) -> None:
    ask(stage="GLUING")
    ask(kind="INSPECT")
    assert start(shop, body) == ""


def test_a_qualification_for_something_else_does_not_count(
    shop: make.Shop, body: Part
) -> None:
    ask()
    qualify(shop, stage="GLUING")
    qualify(shop, kind="HOLD")
    assert start(shop, body) == "floor.not_qualified"


@pytest.mark.parametrize(("days", "code"), [(0, ""), (-1, "floor.not_qualified")])
def test_its_last_day_counts_and_the_day_after_does_not(
    shop: make.Shop, body: Part, days: int, code: str
) -> None:
    ask()
    qualify(shop, until=timezone.localdate(shop.now) + timedelta(days=days))
    assert start(shop, body) == code


def test_finishing_loading_and_taking_out_are_asked_for_too(
    shop: make.Shop, body: Part
) -> None:
    shop.must(Wish.START, step_of(shop, body))
    ask()
    done = shop.scan(Wish.FINISH, body)
    assert done.refusal
    assert done.refusal.code == "floor.not_qualified"
    qualify(shop)
    assert shop.scan(Wish.FINISH, body).accepted
    ask(stage="DRYING", kind="HOLD")
    loaded = shop.scan(Wish.LOAD, body)
    assert loaded.refusal
    assert loaded.refusal.code == "floor.not_qualified"


def step_of(shop: make.Shop, body: Part):
    step = shop.step_of(body)
    assert step
    return step


def test_what_is_only_said_of_a_part_needs_no_qualification(
    shop: make.Shop, body: Part
) -> None:
    ask()
    assert shop.scan(Wish.HOLD, body, reason="knot", only_part=True).accepted


def test_the_button_asks_the_same_rule_and_the_lead_lets_pass(
    shop: make.Shop, body: Part
) -> None:
    ask()
    tablet = Tablet(shop, "SAW").scan(body)
    assert not tablet.buttons["Start"]
    assert "Joiner Cast is not qualified for this: Saw, work." in tablet.text
    assert "Can be let pass by: lead or QA" in tablet.text
    lead = Tablet(shop, "SAW", by="lead").scan(body)
    assert lead.wish("ALLOW", reason="learns it today").status == 200
    assert Tablet(shop, "SAW").scan(body).wish("START").status == 200
    assert events()[-1] == ("START", True, "")
    begun = Event.objects.get(kind=Wish.START)
    assert (begun.allowed_by, begun.allowed_reason) == (
        shop.cast.lead,
        "learns it today",
    )


def test_a_scan_looks_for_qualifications_only_where_the_shop_asks(
    shop: make.Shop, body: Part
) -> None:
    assert not any(
        "shop_qualification" in query["sql"]
        for query in _asked(shop, shop.part(shop.instrument()))
    )
    ask(stage="GLUING")
    assert sum("shop_qualification" in q["sql"] for q in _asked(shop, body)) == 1


def _asked(shop: make.Shop, body: Part) -> list[dict[str, str]]:
    with CaptureQueriesContext(connection) as caught:
        assert start(shop, body) == ""
    return list(caught)
