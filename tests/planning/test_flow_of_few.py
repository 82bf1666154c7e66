"""Do the figures of the flow hold for a few parts, and for words that come late?"""

from datetime import date, timedelta
from io import StringIO
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests import make
from tests.desk import client, main_of, released
from tests.planning import ledger
from tests.planning.test_flow import ZONE, finish, page
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.floor.rules.origin import Origin, Source
from travelers.orders.models import Instrument
from travelers.planning.actions import count_days
from travelers.planning.models import Counted, DayCount
from travelers.planning.rules import DAY

pytestmark = pytest.mark.django_db


def test_little_is_exact_for_a_floor_that_begins_and_ends_empty(
    shop: make.Shop,
) -> None:
    """Nights for nights: L = λW holds without a rest where nothing is left over."""
    for _ in range(3):
        made = released(shop, 2)
        for one in made:
            finish(shop, one)
            shop.later(days=3)
    shop.later(days=2)
    found = page(shop).little
    assert found
    assert (found.entered, found.left) == (6, 6)
    assert found.agrees
    nights = sum(
        (timezone.localdate(one.closed_at) - timezone.localdate(one.released_at)).days
        for one in Instrument.objects.all()
    )
    assert found.nights == (nights, nights)
    assert found.in_work == pytest.approx(nights / found.days)
    # By the minute rather than by nights it differs by less than a day each.
    assert abs(found.expected - found.in_work) * found.days < 6
    assert found.is_near


def test_few_finished_ones_judge_nobody(shop: make.Shop) -> None:
    first, _ = released(shop, 2)
    finish(shop, first)
    shop.later(days=300)
    found = page(shop)
    assert (found.leads.count, found.old) == (1, ())
    with time_machine.travel(shop.now, tick=False):
        said = main_of(client(shop, "planner").get("/flow/?days=365"))
    assert "From 10 finished instruments on" in said


def test_what_was_taken_back_waited_for_nobody(shop: make.Shop) -> None:
    body = shop.part(released(shop, 1)[0])
    step = shop.step_of(body)
    assert step
    pressed = shop.must(Wish.START, step)
    assert {row.code: row.begun for row in page(shop).waits}["LUMBER"] == 1
    shop.must(Wish.UNDO, step, event=str(pressed.event_id))
    assert {row.code: row.begun for row in page(shop).waits}["LUMBER"] == 0


def test_an_empty_shop_has_a_flow_page(shop: make.Shop) -> None:
    for address in ("", "course.svg", "weeks.svg", "ages.svg", "open/", "closed/"):
        assert client(shop, "planner").get(f"/flow/{address}").status_code == 200


def test_a_scan_knows_nothing_of_the_counts(shop: make.Shop) -> None:
    step = shop.step_of(shop.part(released(shop, 1)[0]))
    with CaptureQueriesContext(connection) as caught:
        shop.must(Wish.START, step)
    assert not [one["sql"] for one in caught if "planning_" in one["sql"]]


# --- Late words.


def test_what_was_entered_from_paper_moves_its_day(shop: make.Shop) -> None:
    body = shop.part(released(shop, 1)[0])
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    when = shop.later(hours=2)
    shop.later(days=4)
    assert count_days(at=shop.now, zone=ZONE) == 4
    lay = DayCount.objects.filter(branch="BODY", lay=1)
    assert {row.stage.code for row in lay} == {"LUMBER"}
    paper = Origin(source=Source.PAPER, entered_by_id=shop.cast.lead.pk)
    shop.must(Wish.FINISH, step, when=when, origin=paper)
    assert count_days(at=shop.now, zone=ZONE) == 4
    assert {row.stage.code for row in lay.all()} == {"DRYING"}
    assert ledger.differ(ledger.kept(), told_until_yesterday(shop)) == []
    assert count_days(at=shop.now, zone=ZONE) == 0


def test_what_is_taken_back_moves_the_day_that_it_was_of(shop: make.Shop) -> None:
    body = shop.part(released(shop, 1)[0])
    shop.later(days=2)
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    done = shop.must(Wish.FINISH, step)
    shop.later(days=3)
    assert count_days(at=shop.now, zone=ZONE) == 5
    step.refresh_from_db()
    told = {"event": str(done.event_id), "reason": "it was another"}
    assert shop.scan(Wish.UNDO, body, step=step, by="lead", **told).accepted
    # From the day of the press on; the two days before it stay as they are.
    assert count_days(at=shop.now, zone=ZONE) == 3
    lay = DayCount.objects.filter(branch="BODY", lay=1)
    assert {row.stage.code for row in lay} == {"LUMBER"}
    assert ledger.differ(ledger.kept(), told_until_yesterday(shop)) == []


def test_an_event_that_came_in_below_the_newest_is_counted(shop: make.Shop) -> None:
    """Numbers are given out before the commit: a lower one may come in later."""
    body = shop.part(released(shop, 1)[0])
    step = shop.step_of(body)
    shop.must(Wish.START, step)
    shop.later(days=3)
    count_days(at=shop.now, zone=ZONE)
    # As if another had been the newest then, and this one not been there yet.
    newest = Event.objects.latest("seq").seq
    Counted.objects.update(event_seq=newest + 100, events_near=0)
    assert count_days(at=shop.now, zone=ZONE) == 3
    assert count_days(at=shop.now, zone=ZONE) == 0


def test_an_order_released_as_the_day_ended_is_counted(shop: make.Shop) -> None:
    """Its commit may come after the day was counted."""
    released(shop, 1)
    midnight = shop.now + timedelta(days=1)
    assert count_days(at=midnight, zone=ZONE) == 1
    released(shop, 2)
    assert count_days(at=midnight, zone=ZONE) == 1
    assert DayCount.objects.get(branch="").lay == 3


def told_until_yesterday(shop: make.Shop) -> Any:
    today = timezone.localdate(shop.now, ZONE)
    return ledger.recount(last=today - DAY, zone=ZONE)


def test_another_time_zone_has_other_days(shop: make.Shop) -> None:
    released(shop, 1)
    shop.later(days=3)
    assert count_days(at=shop.now, zone=ZONE) == 3
    assert count_days(at=shop.now, zone=ZoneInfo("America/Lima")) == 3
    assert Counted.objects.get().zone == "America/Lima"


def test_a_clock_that_was_ahead_leaves_no_days_behind(shop: make.Shop) -> None:
    released(shop, 1)
    count_days(at=shop.now + timedelta(days=9), zone=ZONE)
    count_days(at=shop.now + timedelta(days=2), zone=ZONE)
    last = DayCount.objects.latest("day").day
    assert last == timezone.localdate(shop.now, ZONE) + DAY
    assert date(2026, 3, 11) == last


def test_the_command_says_how_many_days_it_counted(shop: make.Shop) -> None:
    released(shop, 1)
    said = StringIO()
    with time_machine.travel(shop.now + timedelta(days=2), tick=False):
        call_command("count_days", stdout=said)
        call_command("count_days", stdout=said)
        call_command("count_days", "--anew", stdout=said)
    assert said.getvalue().splitlines() == [
        "2 days counted.",
        "0 days counted.",
        "2 days counted.",
    ]
