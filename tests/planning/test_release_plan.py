"""Does a plan hold what it says, and does it say the latest day?

Made floors are lived through with luck that the plan did not see; the small shop has no
chance in it, so that each of its days can be tried.
"""

from dataclasses import replace
from datetime import date, timedelta
from importlib import import_module
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from tests import make
from tests.desk import released, sets
from tests.planning.release_worlds import world
from travelers.formulas import forecast as fc
from travelers.formulas.odds import GRID, Correction, place_of
from travelers.kit.refusals import Refused
from travelers.lumber.models import Room
from travelers.orders.actions import allot_sets, release_order
from travelers.orders.models import Instrument, WorkOrder
from travelers.planning.actions import make_release_plan, set_release_rules
from travelers.planning.models import ReleasePlan, ReleaseRules
from travelers.planning.queries.forecast import floor_now
from travelers.planning.queries.forecast.record import Learned
from travelers.planning.queries.forecast.to_come import ToCome, to_build
from travelers.planning.queries.release import asked, ground, kept_leads, planned, told
from travelers.planning.queries.release.ground import IN_WORK, Ground
from travelers.planning.queries.release.plan import Planned
from travelers.planning.rules import Holds, holds

pytestmark = pytest.mark.usefixtures("trusted")

ZONE = ZoneInfo("Europe/Berlin")
# Which share of all came by which share of the futures: too few came.
CURVE = ((0.0, 0.9, 1.2), (0.0, 0.8, 1.0))


def in_time(plan: Planned, here: Ground, seed: int, futures: int) -> dict[str, float]:
    """Live through a plan with other luck; say how often each order is in time."""
    ends = fc.simulate(plan.line, seed, futures).orders_s()
    due = {one.number: here.due_s(one) for one in here.asked.orders}
    return {name: float((ends[name] <= due[name]).mean()) for name in plan.days}


def there(plan: Planned, here: Ground, seed: int, futures: int) -> dict[str, Any]:
    """Live through a plan with other luck; count what is in work and in the room."""
    found = fc.stays(plan.line, seed, futures, here.rooms)
    begins = np.array(
        [here.start_s(plan.days.get(one.order, 0)) for one in plan.line.instruments]
    )
    spans = [np.stack([begins, ends], axis=1) for ends in found.finishes_s]
    counts = {IN_WORK: here.by_day(spans)}
    return counts | {room: here.by_day(found.lain_s[room]) for room in here.rooms}


@pytest.mark.parametrize("certainty_pct", [50, 80, 95])
def test_what_is_said_to_hold_holds_with_luck_not_seen(certainty_pct: int) -> None:
    """Of 1,000 new futures the share promised; 5 of 100 are let pass for chance."""
    shares = []
    for seed in range(3):
        here = world(seed, certainty_pct=certainty_pct)
        plan = planned(ground=here, seed=1, futures=300, rounds=4)
        told = in_time(plan, here, 100 + seed, 1000)
        own = plan.futures.orders_s()
        for one in here.asked.orders:
            if (own[one.number] <= here.due_s(one)).mean() >= certainty_pct / 100:
                shares.append(told[one.number])
    assert len(shares) >= 12
    assert min(shares) >= certainty_pct / 100 - 0.05


def test_no_more_is_in_work_and_in_the_room_than_may_be() -> None:
    """A limit holds in as many new futures as asked for, on every day.

    A day counts who comes and who goes, so that a room may have one more on it.
    """
    for seed in range(3):
        here = world(seed, certainty_pct=80)
        plan = planned(ground=here, seed=1, futures=100, rounds=4)
        counts = there(plan, here, 200 + seed, 200)
        assert (counts[IN_WORK] > 16).mean(axis=0).max() <= 0.2 + 0.05
        assert (counts["room"] > 14).mean(axis=0).max() <= 0.2 + 0.05


def test_without_a_limit_the_same_orders_are_more_at_once() -> None:
    """The limit is what keeps them apart: the test above can fail."""
    here = world(0, most=None, within=(50, 55))
    plan = planned(ground=here, seed=1, futures=50, rounds=1)
    assert (there(plan, here, 7, 50)[IN_WORK] > 16).mean(axis=0).max() > 0.9


def test_mending_leaves_no_more_orders_late() -> None:
    """Tight days on a full floor: the first try is late, what is mended less often."""
    late = []
    for rounds in (1, 5):
        here = world(5, orders=9, within=(45, 60), most=None)
        plan = planned(ground=here, seed=1, futures=100, rounds=rounds)
        ends = plan.futures.orders_s()
        late.append(
            sum(
                float((ends[one.number] > here.due_s(one)).mean()) > 0.2
                for one in here.asked.orders
            )
        )
    assert late[0] > 0
    assert late[1] < late[0]


def test_where_days_held_too_rarely_orders_start_sooner() -> None:
    """Of what was said to hold in 90 of 100 futures, 80 did: that is what 80 means."""
    learned = Learned(Correction(*CURVE), of=100)
    here = replace(world(2), learned=learned)
    plan = planned(ground=here, seed=1, futures=300, rounds=4)
    before = planned(ground=world(2), seed=1, futures=300, rounds=4)
    # The made floor has no rooms to be named.
    found = told(ground=replace(here, limits=(), rooms=()), plan=plan, seed=1)
    rows = {one["order"]: one for one in found["orders"]}
    assert found["learned_of"] == 100
    ends, held = plan.futures.orders_s(), 0
    for one in here.asked.orders:
        row = rows[one.number]
        assert plan.latest[one.number] <= before.latest[one.number]
        due = here.due_s(one)
        held += row["holds"] == Holds.HOLDS
        place = place_of(due, fc.quantiles_s(ends[one.number][:, None], GRID)[0])
        assert row["late_share"] == pytest.approx(1 - np.interp(place, *CURVE))
        # Between two quantiles that are known the place is a straight line.
        assert place == pytest.approx((ends[one.number] <= due).mean(), abs=0.05)
        day = here.day_of(np.quantile(ends[one.number], 0.9))
        assert row["by_on"][1] == day.isoformat()
    assert held >= 3
    assert sum(plan.latest.values()) < sum(before.latest.values())


def test_a_day_after_all_futures_is_as_sure_as_such_days_were() -> None:
    """By hand: all came by 120 of 100 futures, a fifth of them from 90 on."""
    here = replace(world(2), learned=Learned(Correction(*CURVE), of=100))
    moments = np.linspace(0, 100, 201) * 86_400
    assert here.late_share(moments, -1.0) == 1
    # Places are counted from the ninety-ninth day on, one as long as 49 days.
    late = 0.2 * (1.2 - (0.99 + 1 / 49)) / 0.3
    assert here.late_share(moments, moments[-1]) == pytest.approx(late)
    (sure,) = here.by_s(moments, [1.0])
    assert sure == pytest.approx((99 + 0.21 * 49) * 86_400)
    assert here.late_share(moments, sure) == pytest.approx(0, abs=1e-9)


def test_what_is_larger_than_the_floor_may_hold_is_never_started() -> None:
    here = world(1, most=2, on_floor=0)
    plan = planned(ground=here, seed=1, futures=20, rounds=2)
    for one in here.asked.orders:
        start = plan.starts[one.number]
        assert (start.day is None) is (one.quantity > 2)
        assert start.day is not None or start.held_by == IN_WORK


@pytest.mark.parametrize(
    ("told", "found"),
    [
        ((None, 5, IN_WORK, 1.0), Holds.NEVER),
        ((3, 5, "", 0.2), Holds.HOLDS),
        ((3, 5, "", 0.21), Holds.QUEUES),
        ((0, -1, "", 0.9), Holds.TOO_SHORT),
        ((9, 5, IN_WORK, 0.9), Holds.HELD_BACK),
        # It was moved to an earlier day, and is late all the same.
        ((3, 5, IN_WORK, 0.9), Holds.QUEUES),
        ((9, -1, "ROOM", 0.1), Holds.HOLDS),
    ],
)
def test_what_keeps_an_order_from_its_day_is_named(
    told: tuple[int | None, int, str, float], found: Holds
) -> None:
    start, alone, held_by, late = told
    assert found is holds(
        start=start, alone=alone, held_by=held_by, late_share=late, certainty=0.8
    )


# --- The small shop


def to_come(order: WorkOrder) -> ToCome:
    return ToCome(
        order.number,
        order.pk,
        order.revision.model_id,
        order.revision_id,
        order.quantity,
        order.due_on,
        order.priority,
    )


def wooded(shop: make.Shop, order: WorkOrder) -> WorkOrder:
    for purpose in ("BODY", "NECK"):
        chosen = sets(shop, purpose, order.quantity)
        allot_sets(order_id=order.pk, plank_set_ids=[one.pk for one in chosen])
    return order


def due(order: WorkOrder, day: date) -> WorkOrder:
    WorkOrder.objects.filter(pk=order.pk).update(due_on=day)
    order.refresh_from_db()
    return order


def grounded(shop: make.Shop) -> Ground:
    return ground(asked=asked(at=shop.now), at=shop.now, zone=ZONE, seed=1)


@pytest.mark.django_db
def test_what_is_to_come_is_what_a_release_makes(shop: make.Shop) -> None:
    """The same stretches with the same steps, told before and after the release."""
    order = wooded(shop, shop.order(2))
    planned_ones = to_build(orders=[to_come(order)])
    before = floor_now(at=shop.now, zone=ZONE, planned=planned_ones).line
    release_order(order_id=order.pk, by=shop.cast.planner, at=shop.now)
    after = floor_now(at=shop.now, zone=ZONE).line

    def told(line: fc.Line) -> list[Any]:
        place = {one.name: n for n, one in enumerate(line.instruments)}
        return [
            (
                place[job.instrument],
                job.name.partition(" ")[2],
                [mate.partition(" ")[2] for mate in job.joins],
                job.steps,
                job.rank,
                job.at,
                job.done,
            )
            for job in line.jobs
        ]

    assert told(before) == told(after)
    assert fc.simulate(before, 1, 1).finishes_s == pytest.approx(
        fc.simulate(after, 1, 1).finishes_s
    )


@pytest.mark.django_db
def test_an_order_is_released_on_the_latest_day_in_time(shop: make.Shop) -> None:
    """Every other day is tried: nothing later is in time, and nothing is by chance."""
    order = due(shop.order(2), date(2026, 6, 11))
    here = grounded(shop)
    plan = planned(ground=here, seed=1, futures=3, rounds=4)
    day = plan.days[order.number]

    def holds_from(start: int) -> bool:
        line = here.line([order.number], {order.number: start})
        ends = fc.simulate(line, 1, 3).orders_s()[order.number]
        return bool((ends <= here.due_s(here.asked.orders[0])).all())

    opened = [n for n in range(120) if here.open_days[n]]
    latest = max(n for n in opened if holds_from(n))
    assert holds_from(day)
    # The plan counts whole days, and knows no weekends ahead of the last try.
    assert 0 <= latest - day <= 4
    # Two dwells, of 10 and 20 days, are most of it.
    assert 30 < here.lead_s(order) / 86_400 < 42


@pytest.mark.django_db
def test_orders_wait_until_the_floor_has_room(shop: make.Shop) -> None:
    released(shop, 2)
    for _ in range(2):
        due(shop.order(2), date(2026, 6, 11))
    set_release_rules(
        certainty_pct=80, most_in_work=2, by=shop.cast.planner, at=shop.now
    )
    here = grounded(shop)
    plan = planned(ground=here, seed=1, futures=3, rounds=4)
    assert there(plan, here, 1, 3)[IN_WORK].max() == 2
    assert len(set(plan.days.values())) == 2


@pytest.mark.django_db
def test_the_drying_room_is_never_asked_for_more_places(shop: make.Shop) -> None:
    """Three places, ten days each: two orders of three stand ten days apart."""
    Room.objects.create(station=shop.cast.stations["ROOM"], limit_pct=7)
    for _ in range(2):
        due(shop.order(3), date(2026, 7, 1))
    here = grounded(shop)
    plan = planned(ground=here, seed=1, futures=3, rounds=4)
    first, second = sorted(plan.days.values())
    assert 10 <= second - first <= 16
    assert there(plan, here, 1, 3)["ROOM"].max() == 3
    assert plan.starts["W002"].held_by == "ROOM"


@pytest.mark.django_db
def test_the_limit_is_what_was_in_work_lately_until_one_is_set(
    shop: make.Shop,
) -> None:
    assert asked(at=shop.now).most is None
    released(shop, 3)
    shop.later(days=1)
    Instrument.objects.filter(position=1).update(state="FINISHED", closed_at=shop.now)
    shop.later(days=1)
    released(shop, 1)
    # Three at once, then two, then three again.
    assert (asked(at=shop.now).most, asked(at=shop.now).is_set) == (3, False)
    # After a quarter of a year nobody knows of the finished one any more.
    assert asked(at=shop.now + timedelta(weeks=14)).most == 3
    shop.order(7)
    assert asked(at=shop.now).most == 7
    set_release_rules(
        certainty_pct=95, most_in_work=2, by=shop.cast.planner, at=shop.now
    )
    found = asked(at=shop.now)
    assert (found.certainty_pct, found.most, found.is_set) == (95, 2, True)
    assert ReleaseRules.objects.get().set_by == shop.cast.planner


@pytest.mark.django_db
def test_a_plan_is_kept_once_a_day_and_begun_where_the_last_one_ended(
    shop: make.Shop,
) -> None:
    order = due(shop.order(2), date(2026, 6, 11))
    told = {"seed": 1, "zone": ZONE}
    first = make_release_plan(at=shop.now, futures=5, **told)
    (row,) = first.results["orders"]
    assert (row["order"], row["holds"], row["late_share"]) == ("W001", "HOLDS", 0)
    assert row["release_on"] <= row["latest_on"] < order.due_on.isoformat()
    assert kept_leads(asked=asked(at=shop.now)) == {"W001": row["lead_s"]}
    again = make_release_plan(at=shop.now, futures=5, **told)
    assert again.results == first.results
    shop.later(hours=3)
    make_release_plan(at=shop.now, futures=5, **told)
    assert ReleasePlan.objects.count() == 1
    # Another day asked for is another question.
    due(order, date(2026, 6, 12))
    assert kept_leads(asked=asked(at=shop.now)) == {}


@pytest.mark.django_db
def test_where_the_time_goes_is_the_time_until_the_finish(shop: make.Shop) -> None:
    due(shop.order(1), date(2026, 6, 11))
    (row,) = make_release_plan(at=shop.now, seed=1, futures=4, zone=ZONE).results[
        "orders"
    ]
    days = sum(row[sort] for sort in ("lies", "closed", "waits", "works"))
    until = date.fromisoformat(row["by_on"][0]) - date.fromisoformat(row["release_on"])
    assert days == pytest.approx(until.days, abs=1.5)
    # 10 and 20 days, 3 hours in the clamps, two gaps of 4 hours.
    assert row["lies"] == pytest.approx(30 + 11 / 24, abs=0.01)


@pytest.mark.django_db
def test_nothing_is_planned_where_nothing_waits_or_nothing_compiles(
    shop: make.Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = {"at": shop.now, "seed": 1, "futures": 5, "zone": ZONE}
    with pytest.raises(Refused) as no:
        make_release_plan(**told)
    assert no.value.refusal.code == "planning.nothing_to_release"
    module = import_module("travelers.planning.queries.forecast.page")
    monkeypatch.setattr(module, "find_spec", lambda name: None)
    with pytest.raises(Refused) as no:
        make_release_plan(**told)
    assert no.value.refusal.code == "planning.not_compiled"


@pytest.mark.django_db
def test_what_is_given_a_rank_is_taken_by_it(shop: make.Shop) -> None:
    released(shop, 1)
    due(shop.order(1), date(2026, 4, 11))
    here = grounded(shop)
    usual = here.line(["W002"], {"W002": 0})
    last = here.line(["W002"], {"W002": 0}, ranks={"W002": here.behind})
    ranks = {job.instrument: job.rank for job in usual.jobs}
    moved = {job.instrument: job.rank for job in last.jobs}
    own = {one.name for one in usual.instruments if one.order == "W002"}
    assert all(ranks[name] < max(ranks.values()) for name in own)
    assert all(moved[name] > max(ranks.values()) for name in own)
    assert replace(usual, jobs=()) == replace(last, jobs=())
