"""Are defects counted where and when they were found, with what they cost?"""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import time_machine
from bs4 import BeautifulSoup
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import make
from tests.desk import client
from tests.floor.story import report
from travelers.formulas.association import rolled_yield
from travelers.orders.models import Part, Step
from travelers.quality.actions import decide
from travelers.quality.models import Defect
from travelers.quality.queries import ParetoAsked, ParetoPage, pareto_page
from travelers.quality.rules import Decision
from travelers.routes.models import Operation

pytestmark = pytest.mark.django_db

ZONE = ZoneInfo("Europe/Madrid")


@pytest.fixture
def shop() -> Iterator[make.Shop]:
    made = make.shop()
    with time_machine.travel(made.now, tick=False):
        yield made


def page(shop: make.Shop, **asked: Any) -> ParetoPage:
    told = {"since": date(2026, 1, 1), "until": date(2027, 12, 31)} | asked
    return pareto_page(asked=ParetoAsked(**told), at=shop.now, zone=ZONE)


def machined(shop: make.Shop, count: int) -> list[Part]:
    bodies = [shop.part(one) for one in shop.instruments(count)]
    for body in bodies:
        shop.work(body, until="Lacquer")
    return bodies


def found(shop: make.Shop, body: Part, kind: str, operation: str) -> Defect:
    return report(shop, body.steps.get(operation__name=operation), kind)


def test_kinds_come_most_first_with_their_shares(shop: make.Shop) -> None:
    bodies = machined(shop, 4)
    for body in bodies[:3]:
        found(shop, body, "TEAR_OUT", "Machine")
    shop.work(bodies[3], until="Inspect body")
    step = bodies[3].steps.filter(operation__name="Lacquer").order_by("position")[0]
    report(shop, step, "RUN")
    shown = page(shop)
    assert [(row.code, row.count) for row in shown.kinds] == [
        ("TEAR_OUT", 3),
        ("RUN", 1),
    ]
    assert [row.share_pct for row in shown.kinds] == [75, 25]
    assert [row.summed_pct for row in shown.kinds] == [75, 100]
    (outline,) = shown.outlines
    assert sorted(mark[2] for mark in outline.marks) == ["1", "1", "1", "2"]


def test_a_defect_costs_until_it_is_decided_and_done_again(shop: make.Shop) -> None:
    (body,) = machined(shop, 1)
    defect = found(shop, body, "TEAR_OUT", "Machine")
    shop.later(days=2)
    assert page(shop).kinds[0].days == pytest.approx(2)
    decide(
        defect_id=defect.pk,
        decision=Decision.REWORK,
        by=shop.cast.qa,
        at=shop.now,
        reason="plane and cut once more",
        from_operation_id=Operation.objects.get(name="Machine").pk,
    )
    shop.later(days=3)
    assert page(shop).kinds[0].days == pytest.approx(5)
    again = Step.objects.filter(part=body, turn__gt=0).order_by("position")
    for step in again:
        step.refresh_from_db()
        shop.do(step)
    ended = max(step.finished_at for step in again.all() if step.finished_at)
    spent = (ended - defect.event.happened_at) / timedelta(days=1)
    shop.later(days=40)
    assert page(shop).kinds[0].days == pytest.approx(spent)


def test_yields_count_each_part_once_at_a_stage(shop: make.Shop) -> None:
    bodies = machined(shop, 4)
    for _ in range(2):
        found(shop, bodies[0], "TEAR_OUT", "Machine")
    (model,) = page(shop).yields
    stages = {one.stage: one for one in model.stages}
    machining = stages[Step.objects.filter(operation__name="Machine")[0].stage.name]
    assert (machining.entered, machining.failed) == (4, 1)
    assert machining.first_pass_pct == 75
    # The product of the first pass yields, as a handbook's example reckons it (its
    # figures are checked with the formula).
    assert model.rolled_pct == pytest.approx(
        100 * rolled_yield([one.first_pass_pct / 100 for one in model.stages])
    )
    assert model.rolled_pct == pytest.approx(75)


def test_what_is_not_asked_for_is_left_out(shop: make.Shop) -> None:
    bodies = machined(shop, 2)
    found(shop, bodies[0], "TEAR_OUT", "Machine")
    stage = Step.objects.filter(operation__name="Machine")[0].stage.name
    assert page(shop, stage=stage).count == 1
    assert page(shop, stage="Lumber").count == 0
    assert page(shop, model="another").count == 0
    assert page(shop, until=shop.now.date() - timedelta(days=1)).count == 0
    assert page(shop, model=shop.model.name).count == 1


def test_the_page_leads_on_to_what_is_in_common(shop: make.Shop) -> None:
    bodies = machined(shop, 2)
    found(shop, bodies[0], "TEAR_OUT", "Machine")
    with time_machine.travel(shop.now, tick=False):
        qa = client(shop, "qa")
        shown = BeautifulSoup(qa.get("/quality/pareto/").content, "html.parser")
        (way,) = (one for one in shown.find_all("a") if one.get_text() == "tear-out")
        assert qa.get(f"{way['href']}").status_code == 200
        for wrong in ({"since": "x"}, {"since": "2030-01-01"}, {"model": "\x00"}):
            assert qa.get("/quality/pareto/", wrong).status_code == 200
    assert "what passed at the first time" in shown.get_text()
    assert shown.select("figure svg")


def test_no_more_is_asked_for_more(shop: make.Shop) -> None:
    def asked(count: int) -> int:
        for body in machined(shop, count):
            found(shop, body, "TEAR_OUT", "Machine")
        with (
            time_machine.travel(shop.now, tick=False),
            CaptureQueriesContext(connection) as seen,
        ):
            client(shop, "qa").get("/quality/pareto/")
        return len(seen)

    assert asked(1) == asked(3)
