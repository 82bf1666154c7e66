"""Do the figures of the flow agree with the ledger, the board and each other?"""

from collections.abc import Iterator
from copy import copy
from datetime import timedelta
from io import StringIO
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
import time_machine
from django.core.management import call_command
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests import make
from tests.desk import client, main_of, page_of, plan_of, queries_of, released, text_of
from tests.floor.story import report
from tests.planning import ledger
from tests.planning.test_board import recount as on_the_board
from tests.planning.test_board import some_days
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.orders.models import Instrument, Step
from travelers.planning import queries
from travelers.planning.actions import count_days
from travelers.planning.models import DayCount
from travelers.planning.queries import FlowAsked, FlowPage
from travelers.planning.rules import DAY
from travelers.quality.queries import ParetoAsked, pareto_page
from travelers.routes.rules import Branch
from travelers.shop.models import Station

pytestmark = pytest.mark.database

# The shop's own; the settings say so.
ZONE = ZoneInfo("Europe/Berlin")
BRANCHES = ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY")


def asked(shop: make.Shop, span: int = 365, of: Branch | None = None) -> FlowAsked:
    return FlowAsked(span, of, shop.now, ZONE)


def page(shop: make.Shop, span: int = 365, of: Branch | None = None) -> FlowPage:
    count_days(at=shop.now, zone=ZONE)
    return queries.flow_page(asked=asked(shop, span, of))


def finish(shop: make.Shop, instrument: Instrument) -> None:
    for branch in BRANCHES:
        shop.work(shop.part(instrument, branch))


def live() -> make.Shop:
    """Let a shop build three instruments to the end, scrap one, and leave others."""
    shop = make.shop()
    Station.objects.update(places=60)
    for seed in range(3):
        made = released(shop, 2)
        finish(shop, made[0])
        shop.later(hours=20)
        some_days(shop, made[1:], seed=seed)
    body = shop.part(released(shop, 1)[0])
    shop.later(hours=1)
    assert shop.scan(Wish.SCRAP, body, by="qa", reason="split").accepted
    return shop


@pytest.fixture(scope="module")
def built(django_db_setup: None, django_db_blocker: Any) -> Iterator[make.Shop]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield live()
        transaction.set_rollback(True)


@pytest.fixture
def lived(built: make.Shop) -> Iterator[make.Shop]:
    """Give the shop that was built once; what a test does to it is taken back."""
    with transaction.atomic():
        yield copy(built)
        transaction.set_rollback(True)


def test_the_diagram_shows_what_the_ledger_and_the_board_tell(
    lived: make.Shop,
) -> None:
    today = timezone.localdate(lived.now, ZONE)
    told = ledger.recount(last=today, zone=ZONE)
    for of in (None, *Branch):
        course = page(lived, of=of).course
        for row in course.days:
            expected = {
                stage: numbers[4]
                for (day, stage, branch), numbers in told.items()
                if (day, branch) == (row.day, of or "") and numbers[4]
            }
            shown = {one.id: n for one, n in row.by_stage if n}
            assert shown == expected, (row.day, of)
        left = sum(
            numbers[3]
            for (_, _, branch), numbers in told.items()
            if branch == (of or "")
        )
        assert course.days[-1].gone == left
    board = on_the_board()
    for branch in Branch:
        last = page(lived, of=branch).course.days[-1]
        on_board = sum(n for (other, _, _), n in board.items() if other == branch)
        assert last.lay == on_board


def test_each_band_stands_on_the_one_before(lived: make.Shop) -> None:
    """What is gone and what lies there is all that ever came: nothing is lost."""
    course = page(lived).course
    came = 0
    for row in course.days:
        came += row.entered
        assert row.gone + row.lay == came
    assert came == Instrument.objects.count()


def test_the_two_counts_of_nights_agree_in_any_shop(lived: make.Shop) -> None:
    for span in (28, 91, 365):
        found = page(lived, span).little
        assert found is None or found.agrees, span
    found = page(lived).little
    assert found
    assert found.nights[0] > 100
    assert found.expected == pytest.approx(found.a_day * found.lead_days)


def test_nights_that_do_not_agree_are_called_out(lived: make.Shop) -> None:
    page(lived)
    row = DayCount.objects.filter(branch="").latest("day")
    DayCount.objects.filter(pk=row.pk).update(lay=row.lay + 1)
    with time_machine.travel(lived.now, tick=False):
        answer = client(lived, "planner").get("/flow/?days=365")
        assert "must be equal, and are not" in main_of(answer)
        call_command("count_days", "--anew", stdout=StringIO())
        answer = client(lived, "planner").get("/flow/?days=365")
        assert "must be equal, and are: " in main_of(answer)


def test_lead_times_are_those_of_the_finished(lived: make.Shop) -> None:
    took = [
        (one.closed_at - one.released_at) / DAY
        for one in Instrument.objects.filter(state="FINISHED")
    ]
    found = page(lived)
    assert (found.leads.count, found.closed) == (len(took), len(took) + 1) == (3, 4)
    for pct, days in found.leads.days:
        assert days == pytest.approx(np.percentile(took, pct))
    assert (found.scrap.count, found.scrap.of) == (1, 4)
    assert found.scrap.pct == pytest.approx(25)


def test_a_week_counts_what_came_and_left_from_monday_to_sunday(
    lived: make.Shop,
) -> None:
    found = page(lived).weeks
    for week in found:
        assert week.first.weekday() == 0
        left = [
            one
            for one in Instrument.objects.exclude(closed_at=None)
            if week.first <= timezone.localdate(one.closed_at, ZONE) <= week.last
        ]
        came = [
            one
            for one in Instrument.objects.all()
            if week.first <= timezone.localdate(one.released_at, ZONE) <= week.last
        ]
        finished = sum(one.state == "FINISHED" for one in left)
        assert (week.finished, week.scrapped) == (finished, len(left) - finished)
        assert week.released == len(came)
    assert sum(week.finished for week in found) == 3


def test_what_is_older_than_most_is_named(
    lived: make.Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("travelers.planning.queries.flow.closed.ENOUGH", 3)
    lived.later(days=60)
    found = page(lived)
    assert found.leads.old_days
    expected = [
        one.serial
        for one in Instrument.objects.filter(state="OPEN").order_by(
            "released_at", "serial"
        )
        if (lived.now - one.released_at) / DAY > found.leads.old_days
    ]
    assert [one.serial for one in found.old] == expected
    assert expected
    assert {one.older_than_pct for one in found.old} == {100}


def test_waits_are_from_ready_to_begun(lived: make.Shop) -> None:
    since = asked(lived).since
    begun = Event.objects.filter(
        kind__in=["START", "LOAD"], accepted=True, corrected_by=None,
        happened_at__gte=since,
    ).select_related("step__stage")  # fmt: skip
    hours: dict[str, list[float]] = {}
    for event in begun:
        wait = (event.happened_at - event.step.ready_at).total_seconds() / 3600
        hours.setdefault(event.step.stage.code, []).append(wait)
    found = {row.code: row for row in page(lived).waits}
    assert {code: row.begun for code, row in found.items() if row.begun} == {
        code: len(some) for code, some in hours.items()
    }
    for code, some in hours.items():
        for pct, wait in zip((50, 80, 95), found[code].percentiles, strict=True):
            assert wait / timedelta(hours=1) == pytest.approx(np.percentile(some, pct))
    ready = Step.objects.filter(
        state="READY", part__held_at=None, instrument__held_at=None
    )
    for code, row in found.items():
        assert row.waiting == ready.filter(stage__code=code).count()


def test_yields_are_those_that_quality_shows(lived: make.Shop) -> None:
    for step in Step.objects.filter(
        state="DONE", operation__name="Machine", instrument__state="OPEN"
    )[:2]:
        report(lived, step, "TEAR_OUT")
    shown = asked(lived)
    theirs = pareto_page(
        asked=ParetoAsked(shown.first, shown.today), at=lived.now, zone=ZONE
    ).yields
    ours = page(lived).yields
    assert [
        (one.model, [(row.stage, row.entered, row.failed) for row in one.stages])
        for one in ours
    ] == [
        (one.model, [(row.stage, row.entered, row.failed) for row in one.stages])
        for one in theirs
    ]
    assert ours[0].rolled_pct == pytest.approx(theirs[0].rolled_pct)
    assert any(row.failed for row in ours[0].stages)


# --- Each figure opens what it is of.


@pytest.fixture
def desk(lived: make.Shop) -> Iterator[Any]:
    with time_machine.travel(lived.now, tick=False):
        yield client(lived, "planner")


def test_each_number_of_a_day_opens_as_many_parts(lived: make.Shop, desk: Any) -> None:
    course = page(lived, of=Branch.NECK).course
    for row in (course.days[-1], course.days[-30], course.weekly[-3]):
        for stage, n in row.by_stage:
            shown = page_of(desk.get(f"/flow/day/{row.day}/{stage.code}/?of=NECK"))
            assert len(shown.lay) == n
            since = [one.since for one in shown.lay]
            assert since == sorted(since)
    entered = [row for row in course.days if row.entered]
    for row in entered:
        shown = page_of(desk.get(f"/flow/day/{row.day}/?of=NECK"))
        assert len(shown.lay) == row.lay


def test_each_number_of_a_week_opens_as_many_instruments(
    lived: make.Shop, desk: Any
) -> None:
    for week in page(lived).weeks:
        days = f"?since={week.first}&until={week.last}"
        shown = page_of(desk.get(f"/flow/closed/{days}"))
        assert sum(one.is_finished for one in shown.rows) == week.finished
        assert len(shown.rows) == week.finished + week.scrapped
        assert len(page_of(desk.get(f"/flow/released/{days}")).rows) == week.released


def test_waits_yields_and_ages_open_as_many(lived: make.Shop, desk: Any) -> None:
    shown = page(lived)
    for row in shown.waits:
        opened = page_of(desk.get(f"/flow/waits/{row.code}/?days=365"))
        assert (opened.count, len(opened.waiting)) == (row.begun, row.waiting)
        waits = [one.wait for one in opened.rows]
        assert waits == sorted(waits, reverse=True)
    for one in shown.yields:
        for stage in one.stages:
            address = f"/flow/passed/{stage.code}/?days=365&model={one.model}"
            opened = page_of(desk.get(address))
            assert (len(opened.rows), opened.failed) == (stage.entered, stage.failed)
    opened = page_of(desk.get("/flow/open/?days=365"))
    assert len(opened.rows) == shown.open
    ages = [one.age for one in opened.rows]
    assert ages == sorted(ages, reverse=True)


def test_what_is_not_there_is_not_found(lived: make.Shop, desk: Any) -> None:
    for address in ("day/2026-99-99/SAW/", "day/2026-03-10/NOWHERE/", "waits/NOWHERE/"):
        assert desk.get(f"/flow/{address}").status_code == 404
    assert desk.get("/flow/?days=x&of=LEG").status_code == 200
    assert page_of(desk.get("/flow/?days=7&of=LEG")).asked.span == 91


def test_the_pictures_name_their_stages_and_units(lived: make.Shop, desk: Any) -> None:
    course = text_of(desk.get("/flow/course.svg?days=365"))
    for stage, n in page(lived).course.days[-1].by_stage:
        assert (f"{stage.name} {n}" in course) is bool(n)
    assert "Instruments by stage, as each day ended" in course
    weeks = text_of(desk.get("/flow/weeks.svg?days=365&dark"))
    assert "Instruments finished (bars)" in weeks
    ages = text_of(desk.get("/flow/ages.svg?days=365"))
    assert "Days since release" in ages


# --- What the counting costs.


def test_the_page_asks_no_more_of_a_longer_history(lived: make.Shop, desk: Any) -> None:
    few = queries_of(desk, "/flow/?days=91")
    for one in released(lived, 3):
        finish(lived, one)
    assert queries_of(desk, "/flow/?days=91") == few


def test_events_are_found_by_their_stations_and_time(
    lived: make.Shop, desk: Any
) -> None:
    with CaptureQueriesContext(connection) as caught:
        desk.get("/flow/?days=28")
    asked = [one["sql"] for one in caught]
    waits = [sql for sql in asked if "ready_at" in sql and "floor_event" in sql]
    assert len(waits) == 1
    assert "event_of_station" in plan_of(waits[0])
    (ready,) = [sql for sql in asked if 'MIN("orders_step"."ready_at")' in sql]
    assert "step_active_at_stage" in plan_of(ready)
    closed = [sql for sql in asked if '"closed_at" >=' in sql]
    assert closed
    for sql in closed:
        assert "instrument_closed_by_time" in plan_of(sql)
