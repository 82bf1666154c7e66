"""Does the front page show each role its work, and the stations what waits there?"""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import make
from tests.desk import (
    allotted,
    client,
    page_of,
    plan_of,
    queries_of,
    released,
    text_of,
)
from travelers.floor.rules import Wish
from travelers.planning.queries import StationList
from travelers.routes.actions import draft_revision

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def station(page: StationList, code: str):
    return next(
        one for stage in page.stages for one in stage.stations if one.code == code
    )


def test_stations_stand_by_stage_in_the_order_of_the_floor(shop: make.Shop) -> None:
    page = page_of(client(shop, "joiner").get("/stations/"))
    assert [stage.name for stage in page.stages] == [
        "Lumber",
        "Drying",
        "Gluing",
        "Machining",
        "Finishing",
        "Assembly",
    ]
    assert [one.code for one in page.stages[3].stations] == ["CUTTER", "FRETS"]


def test_a_station_says_what_waits_is_in_work_and_lies_there(shop: make.Shop) -> None:
    first, second, third = released(shop, 3)
    shop.work(shop.part(first), until="Dry")
    shop.must(Wish.LOAD, shop.step_of(shop.part(first)))
    shop.must(Wish.START, shop.step_of(shop.part(second)))
    shop.scan(Wish.HOLD, shop.part(third), by="qa", at="SAW", reason="x")
    page = page_of(client(shop, "joiner").get("/stations/"))
    saw, room = station(page, "SAW"), station(page, "ROOM")
    # Two necks of those not held; one body is in work, one gone on, one held.
    assert (saw.ready, saw.running, saw.lying) == (2, 1, 0)
    assert (room.ready, room.lying, room.free) == (0, 1, 2)
    assert page.ready == 2 + station(page, "BENCH").ready == 4


@pytest.mark.twice
def test_work_for_a_whole_stage_waits_at_each_of_its_stations(shop: make.Shop) -> None:
    (instrument,) = released(shop, 1)
    instrument.steps.filter(operation__name="Rough").update(station=None)
    page = page_of(client(shop, "joiner").get("/stations/"))
    assert station(page, "SAW").ready == 2


def test_an_operator_sees_stations_and_no_orders(shop: make.Shop) -> None:
    allotted(shop, 1)
    answer = client(shop, "joiner").get("/")
    page = page_of(answer)
    assert page.stations is not None
    assert (page.due, page.held, page.floor) == ((), (), None)
    assert "/orders/" not in text_of(answer)


def test_a_planner_sees_what_is_due_next(shop: make.Shop) -> None:
    released(shop, 2)
    waiting = shop.order()
    answer = client(shop, "planner").get("/")
    page = page_of(answer)
    assert [(row.number, row.is_released) for row in page.due] == [
        ("W001", True),
        (waiting.number, False),
    ]
    assert (page.floor.total, dict(page.floor.looks)["WAITING"]) == (6, 6)
    assert "not released" in text_of(answer)
    assert page.stations is None


def test_a_finished_order_is_due_no_more(shop: make.Shop) -> None:
    (instrument,) = released(shop, 1)
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(instrument, branch))
    assert page_of(client(shop, "planner").get("/")).due == ()


@pytest.mark.twice
def test_qa_sees_what_is_held_the_longest_first(shop: make.Shop) -> None:
    first, second, _ = released(shop, 3)
    shop.scan(Wish.HOLD, shop.part(second), by="qa", at="SAW", reason="x")
    shop.later(hours=1)
    shop.scan(Wish.HOLD, shop.part(first), by="qa", at="SAW", reason="x")
    page = page_of(client(shop, "qa").get("/"))
    assert [row.serial for row in page.held] == [second.serial, first.serial]
    assert page.floor.held == 6


def test_an_engineer_sees_drafts_and_what_is_built_by(shop: make.Shop) -> None:
    draft_revision(revision_id=shop.revision.pk)
    answer = client(shop, "engineer").get("/")
    told = [(one.model, one.number, one.state) for one in page_of(answer).revisions]
    assert told == [("Wren", "B", "DRAFT"), ("Wren", "A", "RELEASED")]
    assert "/routes/WREN/B/" in text_of(answer)


def test_an_admin_sees_all_and_the_back_door(shop: make.Shop) -> None:
    answer = client(shop, "admin").get("/")
    assert page_of(answer).stations is not None
    assert 'href="/admin/"' in text_of(answer)


def test_an_outsider_sees_nothing(shop: make.Shop) -> None:
    answer = client(shop, "outsider").get("/")
    assert answer.status_code == 403
    assert "kit.not_your_role" in text_of(answer)


@pytest.mark.parametrize("who", ["joiner", "lead", "planner", "qa", "admin"])
def test_more_work_asks_no_more_of_the_database(shop: make.Shop, who: str) -> None:
    reader = client(shop, who)
    released(shop, 5)
    few = [queries_of(reader, url) for url in ("/", "/stations/")]
    for one in released(shop, 50)[:10]:
        shop.scan(Wish.HOLD, shop.part(one), by="qa", at="SAW", reason="x")
    for _ in range(10):
        shop.order()
    assert [queries_of(reader, url) for url in ("/", "/stations/")] == few


def test_counts_read_what_is_active_and_not_all_years(shop: make.Shop) -> None:
    released(shop, 2)
    with CaptureQueriesContext(connection) as caught:
        client(shop, "lead").get("/")
    asked = [one["sql"] for one in caught]
    (steps,) = [sql for sql in asked if "orders_step" in sql]
    assert "step_active_at_stage" in plan_of(steps)
    (orders,) = [sql for sql in asked if 'FROM "orders_workorder"' in sql]
    assert "instrument_open_of_order" in plan_of(orders)
