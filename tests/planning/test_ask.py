"""Is the day for a new order the day on which it would be finished?"""

import re
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

import pytest
from django.http import HttpResponse
from django.utils import timezone

from tests import make
from tests.desk import allotted, client, main_of, page_of, released, text_of
from travelers.formulas import forecast as fc
from travelers.kit.refusals import Refused
from travelers.orders.actions import release_order
from travelers.orders.models import Instrument, WorkOrder
from travelers.planning.actions import (
    make_forecast,
    make_release_plan,
    promise_order,
    set_release_rules,
)
from travelers.planning.forms import signed
from travelers.planning.models import OrderPromise
from travelers.planning.queries.forecast import FIRST, floor_now, record
from travelers.planning.queries.release import (
    Answer,
    Goes,
    Wish,
    answer,
    kept_promises,
)

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.once,
    pytest.mark.usefixtures("trusted"),
]
ZONE = ZoneInfo("Europe/Berlin")
HTMX = {"HX-Request": "true", "HX-Target": "answer"}
TOKEN = r'value="[^"]{64}"'


@pytest.fixture
def clock(shop: make.Shop, monkeypatch: pytest.MonkeyPatch) -> make.Shop:
    """Let screens read the shop's own clock."""
    monkeypatch.setattr(timezone, "now", lambda: shop.now)
    return shop


def asked(shop: make.Shop, **more: Any) -> str:
    told = {
        "what": f"{shop.model.pk}:Tide Green",
        "quantity": 2,
        "wished_on": "2026-06-01",
        "certainty_pct": 80,
        "goes": "BY_DATE",
    }
    return f"/ask/?{urlencode(told | more)}"


def answered(shop: make.Shop, **more: Any) -> Answer:
    told: dict[str, Any] = {
        "model_id": shop.model.pk,
        "finish": "Tide Green",
        "quantity": 2,
        "wished_on": date(2026, 6, 1),
        "certainty_pct": 80,
    }
    wish = Wish(**(told | more))
    return answer(wish=wish, at=shop.now, zone=ZONE, seed=1, futures=5)


def ends(shop: make.Shop) -> dict[str, date]:
    """Say when each order on the floor is finished: the small shop knows no chance."""
    line = floor_now(at=shop.now, zone=ZONE).line
    return {
        order: (shop.now + timedelta(seconds=float(moments.max())))
        .astimezone(ZONE)
        .date()
        for order, moments in fc.simulate(line, 1, 1).orders_s().items()
    }


def said(response: HttpResponse) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", main_of(response)).split())


def roomy(shop: make.Shop) -> None:
    """Let more be in work than these tests ask for."""
    set_release_rules(
        certainty_pct=80, most_in_work=50, by=shop.cast.planner, at=shop.now
    )


def sealed(shop: make.Shop, response: HttpResponse) -> dict[str, str]:
    """Fill the form that accepts an answer, as the page offers it."""
    form = response.context["accept"]
    return {
        "answer": form["answer"].value(),
        "by": form["by"].value(),
        "number": "N-1",
        "priority": "5",
        "note": "",
    }


def test_the_day_is_that_of_the_order_once_it_is_released(shop: make.Shop) -> None:
    """Made and released today, it is finished on the very day that was answered."""
    roomy(shop)
    released(shop, 3)
    found = answered(shop)
    assert found.release_on == shop.now.date()
    assert found.by
    assert (found.holds, found.in_time_pct) == (True, 100)
    order = allotted(shop, 2)
    WorkOrder.objects.filter(pk=order.pk).update(due_on=date(2026, 6, 1))
    release_order(order_id=order.pk, by=shop.cast.planner, at=shop.now)
    assert set(found.by) == {ends(shop)[order.number]}


def test_a_day_is_corrected_by_what_came_of_others(
    clock: make.Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One came three months after all futures: so will what is asked for now."""
    roomy(clock)
    before = answered(clock)
    assert before.by
    assert before.learned_of == 0
    # Beside it stands one that came with the last of its futures.
    monkeypatch.setattr(record, "SUPPOSED", (1.0,))
    (one,) = released(clock, 1)
    make_forecast(at=clock.now, seed=1, futures=5, zone=ZONE)
    clock.later(days=120)
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        clock.work(clock.part(one, branch))
    clock.later(days=1)
    wished = clock.now.date() + (before.by[1] - date(2026, 3, 10))
    found = answered(clock, wished_on=wished)
    assert found.by
    assert found.learned_of == 1
    assert found.by[1] > wished + timedelta(days=30)
    assert (found.holds, found.in_time_pct < 80) == (False, True)
    main = said(client(clock, "planner").post(asked(clock, wished_on=wished)))
    assert "What came of 1 earlier one corrects them." in main


def test_a_wish_holds_from_the_day_answered_on(shop: make.Shop) -> None:
    by = answered(shop).by
    assert by
    for days, share in ((-1, 0), (0, 100), (1, 100)):
        found = answered(shop, wished_on=by[1] + timedelta(days=days))
        assert found.in_time_pct == pytest.approx(share, abs=1)
        assert found.holds is (share == 100)


@pytest.mark.twice
def test_what_goes_first_makes_others_late_and_what_goes_behind_does_not(
    shop: make.Shop,
) -> None:
    """Six bodies fill the room twice; three more before them push them ten days on."""
    roomy(shop)
    released(shop, 6)
    due = ends(shop)["W001"]
    WorkOrder.objects.update(due_on=due)
    told = {"quantity": 3, "wished_on": due - timedelta(days=5)}
    first = answered(shop, **told)
    (row,) = first.others
    assert (row.order, row.due_on) == ("W001", due)
    assert (row.here_pct, row.there_pct) == pytest.approx((0, 100), abs=1)
    assert row.later_days == pytest.approx(10, abs=2)
    assert first.more_late
    # The three that come ten days later; the same luck leaves no doubt.
    assert first.more_late == (3, 3, 3)
    last = answered(shop, **told, goes=Goes.BEHIND)
    assert last.others == ()
    assert last.more_late == (0, 0, 0)
    assert last.by
    assert first.by
    assert last.by[0] > first.by[0]


def test_a_day_that_is_promised_instead_holds_by_its_own_turn(
    shop: make.Shop,
) -> None:
    """Nobody can have it tomorrow; what is due before the day promised goes first.

    Made with the day that was answered, and released, it is finished by it.
    """
    roomy(shop)
    released(shop, 6)
    tomorrow = shop.now.date() + timedelta(days=1)
    alone = answered(shop, quantity=3, wished_on=date(2026, 12, 1), goes=Goes.BEHIND)
    WorkOrder.objects.update(due_on=date(2026, 4, 10))
    found = answered(shop, quantity=3, wished_on=tomorrow)
    assert (found.holds, round(found.in_time_pct)) == (False, 0)
    assert found.sure
    # Before the others it would be sooner; the day would then not be kept.
    assert alone.sure == found.sure
    order = allotted(shop, 3)
    WorkOrder.objects.filter(pk=order.pk).update(due_on=found.sure)
    release_order(order_id=order.pk, by=shop.cast.planner, at=shop.now)
    assert ends(shop)[order.number] <= found.sure


def test_orders_that_wait_keep_their_days(shop: make.Shop) -> None:
    """Two may be in work: what waits takes their places, the new one comes after it."""
    order = shop.order(2)
    WorkOrder.objects.update(due_on=shop.now.date() + timedelta(days=45))
    set_release_rules(
        certainty_pct=80, most_in_work=2, by=shop.cast.planner, at=shop.now
    )
    (plan,) = make_release_plan(at=shop.now, seed=1, futures=5, zone=ZONE).results[
        "orders"
    ]
    found = answered(shop, quantity=2)
    assert found.held_by == "in work"
    assert found.release_on
    assert found.release_on > date.fromisoformat(plan["by_on"][0])
    # It would be finished before the other one starts, if it did not have to be.
    WorkOrder.objects.filter(pk=order.pk).update(due_on=date(2026, 12, 1))
    sooner = answered(shop, quantity=2)
    assert sooner.release_on == shop.now.date()


def test_what_never_fits_is_told_so(clock: make.Shop) -> None:
    set_release_rules(
        certainty_pct=80, most_in_work=1, by=clock.cast.planner, at=clock.now
    )
    response = client(clock, "planner").post(asked(clock))
    assert page_of(response).by is None
    assert "It is never released: it is larger than" in said(response)
    assert "Accept it" not in said(response)


def test_the_page_answers_soon_and_then_surely(clock: make.Shop) -> None:
    roomy(clock)
    released(clock, 1)
    planner = client(clock, "planner")
    url = asked(clock)
    first = planner.get(url)
    assert page_of(first) is None
    assert f'hx-post="{url.replace("&", "&amp;")}" hx-trigger="load"' in text_of(first)
    some = planner.post(url, headers=HTMX)
    assert page_of(some).futures == FIRST
    assert f'hx-post="{url.replace("&", "&amp;")}&amp;all=1"' in text_of(some)
    whole = planner.post(f"{url}&all=1", headers=HTMX)
    assert page_of(whole).futures == 1000
    assert "hx-trigger" not in text_of(whole)
    assert "1 Jun 2026 can be promised" in text_of(whole)
    # Without scripts the whole page comes, with the same answer.
    assert "1 Jun 2026 can be promised" in said(planner.post(url))


@pytest.mark.parametrize(
    "wrong",
    [
        {"quantity": 0},
        {"quantity": 501},
        {"wished_on": "2026-03-09"},
        {"wished_on": "soon"},
        {"what": "999:Tide Green"},
        {"certainty_pct": 81},
        {"goes": "FIRST"},
    ],
)
def test_what_cannot_be_asked_is_said_at_its_field(
    clock: make.Shop, wrong: dict[str, Any]
) -> None:
    planner = client(clock, "planner")
    for response in (
        planner.get(asked(clock, **wrong)),
        planner.post(asked(clock, **wrong)),
    ):
        assert response.status_code == 422
        assert "errorlist" in text_of(response)
        assert "hx-trigger" not in main_of(response)


@pytest.mark.twice
def test_an_answer_is_accepted_with_its_promise(clock: make.Shop) -> None:
    roomy(clock)
    released(clock, 1)
    planner = client(clock, "planner")
    response = planner.post(f"{asked(clock)}&all=1")
    found = page_of(response)
    form = sealed(clock, response)
    # The wish holds, so it is what is promised unless another day is chosen.
    assert form["by"] == "2026-06-01"
    clock.later(minutes=10)
    made = planner.post("/ask/accept/", form, follow=True)
    assert made.redirect_chain[0][0] == "/orders/N-1/"
    assert "promised by 1 Jun 2026" in text_of(made)
    order = WorkOrder.objects.get(number="N-1")
    assert (order.quantity, order.finish, order.due_on) == (
        2,
        "Tide Green",
        date(2026, 6, 1),
    )
    kept = OrderPromise.objects.get(order=order)
    assert (kept.half_on, kept.usual_on, kept.sure_on) == found.by
    assert (kept.promised_on, kept.wished_on) == (date(2026, 6, 1),) * 2
    assert (kept.certainty_pct, kept.futures, kept.seed) == (100, 1000, 1)
    assert kept.asked_at == found.at
    assert kept.made_by == clock.cast.planner


def test_a_number_that_is_taken_keeps_what_was_typed(clock: make.Shop) -> None:
    planner = client(clock, "planner")
    clock.order()
    form = sealed(clock, planner.post(asked(clock))) | {"number": "W001", "note": "x"}
    response = planner.post("/ask/accept/", form)
    assert response.status_code == 422
    assert "There is an order W001 already." in said(response)
    assert 'value="x"' in text_of(response)
    again = sealed(clock, response) | {"number": "N-2"}
    assert planner.post("/ask/accept/", again).status_code == 302
    assert OrderPromise.objects.get().order.number == "N-2"


@pytest.mark.parametrize(
    ("change", "status"),
    [
        ({"by": "2026-03-11"}, 422),
        ({"by": ""}, 422),
        ({"number": ""}, 422),
        ({"priority": "0"}, 422),
        ({"answer": "no seal"}, 404),
        ({"answer": ""}, 404),
    ],
)
def test_only_what_was_answered_can_be_promised(
    clock: make.Shop, change: dict[str, str], status: int
) -> None:
    planner = client(clock, "planner")
    form = sealed(clock, planner.post(asked(clock))) | change
    assert planner.post("/ask/accept/", form).status_code == status
    assert not WorkOrder.objects.exists()


def test_an_answer_of_an_hour_ago_is_asked_for_again(clock: make.Shop) -> None:
    planner = client(clock, "planner")
    form = sealed(clock, planner.post(asked(clock)))
    clock.later(minutes=61)
    response = planner.post("/ask/accept/", form)
    assert response.status_code == 409
    assert "older than an hour" in said(response)
    assert not WorkOrder.objects.exists()
    told = {"asked_at": (clock.now - timedelta(hours=2)).isoformat()}
    with pytest.raises(Refused) as no:
        promise_order(
            answer=told,
            number="N-1",
            promised_on=date(2026, 6, 1),
            priority=5,
            note="",
            by=clock.cast.planner,
            at=clock.now,
        )
    assert no.value.refusal.code == "planning.answer_old"
    # A seal of another kind is none.
    assert planner.post("/ask/accept/", {"answer": signed({})[:-1]}).status_code == 404


@pytest.mark.twice
def test_promises_stand_with_what_is_known_of_them_now(clock: make.Shop) -> None:
    planner = client(clock, "planner")
    planner.post("/ask/accept/", sealed(clock, planner.post(asked(clock))))
    (row,) = kept_promises(zone=ZONE)
    assert (row.in_time_pct, row.is_kept) == (None, None)
    make_release_plan(at=clock.now, seed=1, futures=5, zone=ZONE)
    assert kept_promises(zone=ZONE)[0].in_time_pct == 100
    assert "Promised" in said(planner.get("/ask/"))
    # On the floor it is the forecast that tells.
    WorkOrder.objects.update(number="N-0")
    order = allotted(clock, 2)
    WorkOrder.objects.filter(pk=order.pk).update(due_on=date(2026, 3, 20))
    release_order(order_id=order.pk, by=clock.cast.planner, at=clock.now)
    OrderPromise.objects.update(order=order, promised_on=date(2026, 3, 20))
    make_forecast(at=clock.now, seed=1, futures=5, zone=ZONE)
    assert kept_promises(zone=ZONE)[0].in_time_pct < 1
    Instrument.objects.update(state="FINISHED", closed_at=clock.now)
    (row,) = kept_promises(zone=ZONE)
    assert (row.is_kept, row.finished_on) == (True, clock.now.date())
    OrderPromise.objects.update(promised_on=date(2026, 3, 9))
    assert kept_promises(zone=ZONE)[0].is_kept is False
    assert "missed" in said(planner.get("/ask/"))


def test_a_lead_asks_and_does_not_promise(clock: make.Shop) -> None:
    response = client(clock, "lead").post(asked(clock))
    assert response.status_code == 200
    assert "can be promised" in said(response)
    assert "Accept it" not in said(response)


def test_what_never_fits_is_told_in_the_piece_too(clock: make.Shop) -> None:
    set_release_rules(
        certainty_pct=80, most_in_work=1, by=clock.cast.planner, at=clock.now
    )
    answer = client(clock, "planner").post(asked(clock), headers=HTMX)
    assert answer.status_code == 200
    assert "It is never released" in text_of(answer)
    assert "hx-trigger" not in text_of(answer)
