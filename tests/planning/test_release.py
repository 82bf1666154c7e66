"""Can a planner read the plan, set its rules, and release from it in one press?"""

import re
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.http import HttpResponse
from django.utils import timezone

from tests import make
from tests.desk import client, main_of, page_of, queries_of, released, sets, text_of
from travelers.kit.refusals import Refused
from travelers.orders.actions import allot_sets
from travelers.orders.models import Allotment, Instrument, WorkOrder
from travelers.orders.queries import proposed_wood
from travelers.planning.actions import (
    Chosen,
    make_release_plan,
    release_chosen,
    set_release_rules,
)
from travelers.planning.models import ReleasePlan, ReleaseRules
from travelers.planning.queries.forecast import FIRST
from travelers.planning.rules import Holds

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.once,
    pytest.mark.usefixtures("trusted"),
]
ZONE = ZoneInfo("Europe/Berlin")
HTMX = {"HX-Request": "true", "HX-Target": "plan"}
TOKEN = r'value="[^"]{64}"'


@pytest.fixture
def clock(shop: make.Shop, monkeypatch: pytest.MonkeyPatch) -> make.Shop:
    """Let screens read the shop's own clock."""
    monkeypatch.setattr(timezone, "now", lambda: shop.now)
    return shop


def made(shop: make.Shop, **more: Any) -> ReleasePlan:
    told = {"at": shop.now, "seed": 3, "futures": 5, "zone": ZONE} | more
    return make_release_plan(**told)


def order(shop: make.Shop, due_on: date, quantity: int = 1) -> WorkOrder:
    one = shop.order(quantity)
    WorkOrder.objects.filter(pk=one.pk).update(due_on=due_on)
    one.refresh_from_db()
    return one


def yard(shop: make.Shop, count: int) -> None:
    """Let free sets for so many instruments lie in the yard."""
    for purpose in ("BODY", "NECK"):
        sets(shop, purpose, count)


def said(answer: HttpResponse) -> str:
    """Give what a page says, without its tags."""
    return " ".join(re.sub(r"<[^>]+>", " ", main_of(answer)).split())


# Tuesday 10 March: an instrument takes five weeks and a half.
NEXT_WEEK = date(2026, 4, 23)


def test_the_page_plans_on_until_all_is_lived_through(clock: make.Shop) -> None:
    order(clock, NEXT_WEEK)
    planner = client(clock, "planner")
    first = planner.get("/release/")
    assert page_of(first).known is None
    assert "Nothing is planned by these rules yet" in text_of(first)
    assert 'hx-trigger="load"' in text_of(first)
    told = []
    for _ in range(2):
        answer = planner.post("/release/", headers=HTMX)
        known = page_of(answer).known
        told.append((known.futures, known.is_done))
    assert told == [(FIRST, False), (1000, True)]
    assert 'hx-trigger="load"' not in text_of(answer)
    # The piece is what a reload shows.
    again = re.sub(TOKEN, "", text_of(planner.get("/release/")))
    assert re.sub(TOKEN, "", text_of(answer)).strip() in again
    clock.later(minutes=16)
    assert not page_of(planner.get("/release/")).known.is_done
    assert planner.post("/release/").status_code == 302
    assert ReleasePlan.objects.get().futures == FIRST


def test_another_order_or_rule_asks_for_another_plan(clock: make.Shop) -> None:
    order(clock, NEXT_WEEK)
    made(clock, futures=1000)
    planner = client(clock, "planner")
    assert page_of(planner.get("/release/")).known.is_done
    planner.post("/release/rules/", {"certainty_pct": "95", "most_in_work": "4"})
    rules = ReleaseRules.objects.get()
    assert (rules.certainty_pct, rules.most_in_work) == (95, 4)
    assert rules.set_by == clock.cast.planner
    page = page_of(planner.get("/release/"))
    assert page.known is None
    assert (page.asked.certainty_pct, page.asked.most) == (95, 4)
    made(clock, futures=1000)
    assert page_of(planner.get("/release/")).known.is_done
    order(clock, NEXT_WEEK)
    assert not page_of(planner.get("/release/")).known.is_done


@pytest.mark.twice
@pytest.mark.parametrize(
    ("certainty", "most"), [("81", ""), ("80", "0"), ("80", "x"), ("", "5")]
)
def test_rules_that_cannot_be_are_not_kept(
    clock: make.Shop, certainty: str, most: str
) -> None:
    answer = client(clock, "planner").post(
        "/release/rules/", {"certainty_pct": certainty, "most_in_work": most}
    )
    assert answer.status_code == 422
    assert "errorlist" in text_of(answer)
    assert not ReleaseRules.objects.exists()


def test_an_order_stands_in_the_week_of_its_release(clock: make.Shop) -> None:
    """One is due before it can be finished, one in time from next week, one later."""
    yard(clock, 3)
    for due_on in (date(2026, 4, 1), NEXT_WEEK, date(2026, 8, 3)):
        order(clock, due_on)
    made(clock)
    answer = client(clock, "planner").get("/release/")
    groups = page_of(answer).groups
    assert [(one.due, [row.number for row in one.rows]) for one in groups] == [
        ("THIS_WEEK", ["W001"]),
        ("NEXT_WEEK", ["W002"]),
        ("LATER", ["W003"]),
    ]
    late, fits, _ = (group.rows[0].plan for group in groups)
    assert (late.holds, late.in_time_pct) == (Holds.TOO_SHORT, pytest.approx(0, abs=1))
    assert late.latest_on < clock.now.date() == late.release_on
    assert (fits.holds, fits.in_time_pct) == (Holds.HOLDS, 100)
    text = said(answer)
    assert "1 of 3 orders does not hold its day in 80 of 100 cases." in text
    day = f"{late.sure:%-d %b %Y}"
    assert f"Even started today it would not; {day} is the earliest" in text
    assert "Release next week’s order" in text


def test_what_the_floor_has_no_room_for_says_so(clock: make.Shop) -> None:
    released(clock, 2)
    order(clock, date(2026, 5, 1), 2)
    order(clock, date(2026, 9, 1), 3)
    set_release_rules(
        certainty_pct=80, most_in_work=2, by=clock.cast.planner, at=clock.now
    )
    made(clock)
    answer = client(clock, "lead").get("/release/")
    plans = {row.number: row.plan for row in page_of(answer).rows}
    assert plans["W002"].holds is Holds.HELD_BACK
    assert plans["W002"].held_by == "in work"
    assert plans["W003"].holds is Holds.NEVER
    assert plans["W003"].release_on is None
    text = said(answer)
    assert "Its day follows from how much may be in work." in text
    assert "It is larger than what may be in work. Raise the limit" in text
    # A lead reads and does not release.
    assert "Release those ticked" not in text
    assert 'type="checkbox"' not in main_of(answer)


def test_what_waits_for_wood_says_which(clock: make.Shop) -> None:
    yard(clock, 1)
    sets(clock, "NECK", 1)
    order(clock, NEXT_WEEK, 2)
    order(clock, NEXT_WEEK, 1)
    made(clock)
    answer = client(clock, "planner").get("/release/")
    rows = {row.number: row for row in page_of(answer).rows}
    told = {
        number: [(one.branch, len(one.sets), one.missing) for one in row.wood]
        for number, row in rows.items()
    }
    # The first of the plan chooses first, and no set is proposed twice.
    assert told == {
        "W001": [("BODY", 1, 1), ("NECK", 2, 0)],
        "W002": [("BODY", 0, 1), ("NECK", 0, 1)],
    }
    text = said(answer)
    assert "2 wait for wood." in text
    assert "1 missing of 2 pieces of 520 × 170 × 50 mm." in text
    assert 'value="W001" aria-label="W001" disabled' in main_of(answer)
    assert "Release next week’s" not in text


@pytest.mark.twice
def test_next_weeks_orders_are_released_in_one_press(clock: make.Shop) -> None:
    yard(clock, 4)
    order(clock, NEXT_WEEK, 2)
    half = order(clock, NEXT_WEEK, 1)
    allot_sets(
        order_id=half.pk, plank_set_ids=[one.pk for one in sets(clock, "BODY", 1)]
    )
    later = order(clock, date(2026, 9, 1), 1)
    made(clock)
    planner = client(clock, "planner")
    page = page_of(planner.get("/release/"))
    (group,) = [one for one in page.groups if one.due == "NEXT_WEEK"]
    assert group.ready == 2
    form: dict[str, Any] = {
        "group": "NEXT_WEEK",
        "in-NEXT_WEEK": [row.number for row in group.rows],
        "in-LATER": [later.number],
    }
    form |= {f"wood-{row.number}": row.set_ids for row in page.rows}
    proposed = {one.id for row in group.rows for wood in row.wood for one in wood.sets}
    answer = planner.post("/release/now/", form, follow=True)
    assert Instrument.objects.count() == 3
    assert proposed <= set(Allotment.objects.values_list("plank_set_id", flat=True))
    assert "W001: 2 instruments are on the floor." in text_of(answer)
    assert "W002: 1 instrument is on the floor." in text_of(answer)
    assert [row.number for row in page_of(answer).rows] == ["W003"]


@pytest.mark.twice
def test_what_is_refused_is_listed_and_keeps_nothing_back(clock: make.Shop) -> None:
    """Somebody took a set meanwhile, and released another order."""
    yard(clock, 4)
    for _ in range(3):
        order(clock, NEXT_WEEK, 1)
    planner = client(clock, "planner")
    rows = page_of(planner.get("/release/")).rows
    form: dict[str, Any] = {"order": ["W001", "W002", "W003", "W404"]}
    form |= {f"wood-{row.number}": row.set_ids for row in rows}
    taken = rows[0].wood[0].sets[0]
    allot_sets(order_id=order(clock, NEXT_WEEK, 1).pk, plank_set_ids=[taken.id])
    second = tuple(one.id for wood in rows[1].wood for one in wood.sets)
    release_chosen(chosen=[Chosen("W002", second)], by=clock.cast.planner, at=clock.now)
    before = Allotment.objects.count()
    answer = planner.post("/release/now/", form)
    assert answer.status_code == 409
    text = said(answer)
    assert f"W001 : Set {taken.number} is allotted to order W004 already." in text
    assert "Choose another set of the list." in text
    assert "W002 : Order W002 was released by" in text
    assert "W404 : Nothing here has that number." in text
    assert "W003: 1 instrument is on the floor." in text
    # Of W001 nothing was kept, and it is still ticked.
    assert Allotment.objects.count() == before + 2
    assert not WorkOrder.objects.get(number="W001").allotments.exists()
    assert 'value="W001" aria-label="W001" checked' in main_of(answer)


def test_nothing_chosen_releases_nothing(clock: make.Shop) -> None:
    yard(clock, 1)
    order(clock, NEXT_WEEK)
    answer = client(clock, "planner").post("/release/now/", {})
    assert answer.status_code == 422
    assert "No order was chosen to be released." in text_of(answer)
    with pytest.raises(Refused) as no:
        release_chosen(chosen=[], by=clock.cast.planner, at=clock.now)
    assert no.value.refusal.code == "planning.no_order_chosen"
    assert not Instrument.objects.exists()


def test_wood_without_which_an_order_is_not_released_is_asked_of_the_verb(
    clock: make.Shop,
) -> None:
    """A form that was changed by hand meets the same refusal as the order's page."""
    order(clock, NEXT_WEEK)
    (done,) = release_chosen(
        chosen=[Chosen("W001")], by=clock.cast.planner, at=clock.now
    )
    assert done.refusal
    assert (done.instruments, done.refusal.code) == (0, "orders.wood_missing")


@pytest.mark.twice
def test_an_order_is_of_one_species_and_of_none_too_heavy(clock: make.Shop) -> None:
    """Rosewood is dearer by a species of its own; heavy sets are left to people."""
    yard(clock, 2)
    one = order(clock, NEXT_WEEK, 2)
    wood = proposed_wood(numbers=[one.number])[one.number]
    assert [(w.species, w.missing) for w in wood] == [(("ash",), 0)] * 2
    clock.model.body_volume_cm3 = 4_000
    clock.model.heaviest_body_g = 1_000
    clock.model.save(update_fields=["body_volume_cm3", "heaviest_body_g"])
    body, neck = proposed_wood(numbers=[one.number])[one.number]
    assert (body.missing, neck.missing) == (2, 0)


def test_charts_draw_each_order_and_each_limit(clock: make.Shop) -> None:
    released(clock, 1)
    order(clock, NEXT_WEEK, 2)
    set_release_rules(
        certainty_pct=80, most_in_work=9, by=clock.cast.planner, at=clock.now
    )
    made(clock)
    planner = client(clock, "planner")
    for dark in ("", "?dark"):
        starts = text_of(planner.get(f"/release/starts.svg{dark}"))
        assert "W002 (2)" in starts
        assert all(word in starts for word in ("latest start", "due", "today"))
        fill = text_of(planner.get(f"/release/fill.svg{dark}"))
        assert "limit: 9" in fill


def test_the_week_by_week_table_counts_what_is_in_work(clock: make.Shop) -> None:
    released(clock, 2)
    order(clock, date(2026, 6, 1), 1)
    made(clock)
    page = page_of(client(clock, "planner").get("/release/"))
    assert (page.weeks[0].in_work.likely, page.weeks[0].in_work.most) == (2, 2)
    start = page.rows[0].plan.release_on
    there = [week.in_work.most for week in page.weeks if week.day >= start]
    assert there[0] == 1
    assert there[-1] == 0


def test_the_page_asks_no_more_of_the_database_for_more_orders(
    clock: make.Shop,
) -> None:
    yard(clock, 1)
    planner = client(clock, "planner")
    counts = []
    for more in (1, 5):
        for _ in range(more):
            order(clock, NEXT_WEEK)
        made(clock)
        counts.append(queries_of(planner, "/release/"))
    assert counts[0] == counts[1]


def test_a_page_without_orders_says_so(clock: make.Shop) -> None:
    answer = client(clock, "planner").get("/release/")
    assert "No order waits for its release." in text_of(answer)
    assert 'hx-trigger="load"' not in text_of(answer)
    refused = client(clock, "planner").post("/release/")
    assert refused.status_code == 409
    assert "so there is nothing to plan" in text_of(refused)
