"""Is it counted right how many promised days held, and learned from what was known?"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from tests import make
from tests.desk import client, main_of, page_of, queries_of, released
from travelers.floor.rules import Wish
from travelers.formulas.odds import GRID
from travelers.orders.models import Instrument
from travelers.planning.actions import make_forecast
from travelers.planning.models import Forecast
from travelers.planning.queries.forecast import record
from travelers.planning.queries.forecast.record import (
    Foretold,
    Sort,
    foretold,
    held_of,
    lessons_of,
)

ZONE = ZoneInfo("Europe/Berlin")
NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
DAY = 86_400
SINCE = NOW - record.HALF_YEAR
# Futures spread evenly over a hundred days; the day of 80 of 100 is the eightieth.
GRID_S = tuple(100 * DAY * share for share in GRID)


def told(
    name: str,
    ago: float,
    came: float | None,
    sort: Sort = "instruments",
    eighty: float = 80,
) -> Foretold:
    """Say what was said so many days ago of something that came so many days later."""
    made = NOW - timedelta(days=ago)
    said = tuple(day * DAY for day in (10, 25, 50, eighty, 95))
    end = None if came is None else made + timedelta(days=came)
    return Foretold(sort, name, made, GRID_S, said, end)


def spoken(*said: Foretold) -> tuple[int, int, int]:
    """Give of the days of 80 of 100 how many held, of how many, of how many things."""
    rows = {one.odds_pct: one for one in held_of(told=said, at=NOW, since=SINCE)}
    if 80 not in rows:
        return 0, 0, 0
    return rows[80].share.held, rows[80].share.of, rows[80].things


def test_a_day_holds_if_it_is_finished_by_then() -> None:
    assert spoken(told("A", 100, 80)) == (1, 1, 1)
    assert spoken(told("A", 100, 80.001)) == (0, 1, 1)


def test_what_is_not_finished_has_not_held_a_day_that_has_passed() -> None:
    assert spoken(told("A", 81, None)) == (0, 1, 1)


def test_a_day_that_is_to_come_does_not_count_even_if_it_holds_already() -> None:
    assert spoken(told("A", 79, 20)) == (0, 0, 0)


def test_days_count_for_half_a_year_after_they_came() -> None:
    assert spoken(told("A", 182 + 79, 10)) == (1, 1, 1)
    assert spoken(told("A", 182 + 81, 10)) == (0, 0, 0)


def test_many_days_of_one_thing_are_counted_as_of_one() -> None:
    """By hand: A held twice of three times, B not at all."""
    said = [told("A", 120, 90), told("A", 110, 80), told("A", 100, 70)]
    assert spoken(*said, told("B", 100, None)) == (2, 4, 2)


def test_the_shares_of_all_odds_are_counted_apart() -> None:
    """Two that came after 20 and 60 days, said 100 days ago."""
    rows = held_of(told=[told("A", 100, 20), told("B", 100, 60)], at=NOW, since=SINCE)
    assert {one.odds_pct: one.share.held for one in rows} == {
        10: 0,
        25: 1,
        50: 1,
        80: 2,
        95: 2,
    }


def many(count: int, ago: float, came: float, sort: Sort = "instruments") -> Any:
    return [told(f"{sort} {n}", ago, came, sort) for n in range(count)]


def test_nothing_is_learned_before_enough_have_come() -> None:
    few = lessons_of(told=many(record.ENOUGH - 1, 100, 90), at=NOW)
    assert few.instruments.of == 0
    assert few.instruments.days_s(GRID_S, [0.8]) == doubted_s(80)
    enough = lessons_of(told=many(record.ENOUGH, 100, 90), at=NOW)
    assert enough.instruments.of == record.ENOUGH
    # All came after ninety days, so that eight of ten will have by then.
    assert enough.instruments.days_s(GRID_S, [0.8]) == pytest.approx((72 * DAY,))
    assert enough.instruments.days_s(GRID_S, [1]) == pytest.approx((90 * DAY,))


def doubted_s(*places: float) -> tuple[float, ...]:
    """Say when so many of a hundred have come, where days are doubted."""
    doubted = dict(zip(GRID, record.DOUBT.doubted_s(GRID_S), strict=True))
    return tuple(doubted[place / 100] for place in places)


def new(name: str, ago: float, place: float | None) -> Foretold:
    """Say that an order was new so many days ago, and at which place it came."""
    came = None if place is None else doubted_s(place)[0] / DAY
    return replace(told(name, ago, came, "orders"), is_new=True)


def test_days_of_new_orders_are_doubted_until_some_have_come() -> None:
    """None of them: as is supposed; then all count, those supposed as thirty."""
    none = lessons_of(told=[], at=NOW).new_orders
    assert none.of == 0
    assert none.days_s(GRID_S, [0.5, 0.8]) == pytest.approx(doubted_s(50, 80))
    late = [new(f"late {n}", 150, 90) for n in range(record.ENOUGH)]
    known = lessons_of(told=late, at=NOW).new_orders
    assert known.of == record.ENOUGH
    # By hand: of sixty, 27 of those supposed and all thirty others came by there.
    assert known.correction.share_at(0.9001) == pytest.approx(57 / 60, abs=1e-3)
    assert known.correction.share_at(0.8999) == pytest.approx(27 / 60, abs=1e-3)


def test_an_order_is_new_once() -> None:
    again = [new("A", 150, 90), new("A", 143, 10), told("B", 150, 20, "orders")]
    known = lessons_of(told=again, at=NOW).new_orders
    assert known == lessons_of(told=again[:1], at=NOW).new_orders
    assert known.of == 1


def test_new_orders_that_have_not_come_count_until_now() -> None:
    still = [new(f"still {n}", 100, None) for n in range(20)]
    known = lessons_of(told=still, at=NOW).new_orders
    assert known.of == 0
    (day,) = known.days_s(GRID_S, [0.8])
    assert day > doubted_s(80)[0]


def test_one_thing_that_was_said_often_is_not_many() -> None:
    said = [told("A", 100 + n, 90) for n in range(2 * record.ENOUGH)]
    assert lessons_of(told=said, at=NOW).instruments.of == 0


def test_what_came_later_is_not_known_before() -> None:
    """What is learned at a moment is the same, whatever comes after it."""
    early = many(record.ENOUGH, 100, 40)
    then = NOW - timedelta(days=30)
    late = [told(f"late {n}", 100, 75) for n in range(20)]
    never = [told(f"late {n}", 100, None) for n in range(20)]
    after = many(50, 29, 1)
    found = lessons_of(told=[*early, *late, *after], at=then)
    assert found == lessons_of(told=[*early, *never], at=then)
    assert found != lessons_of(told=[*early, *late, *after], at=NOW)


def test_orders_are_corrected_as_instruments_until_enough_came() -> None:
    instruments = many(record.ENOUGH, 100, 90)
    few = lessons_of(told=[*instruments, *many(5, 100, 95, "orders")], at=NOW)
    assert few.orders == few.instruments
    orders = many(record.ENOUGH, 100, 95, "orders")
    enough = lessons_of(told=[*instruments, *orders], at=NOW)
    assert enough.orders.days_s(GRID_S, [1]) == pytest.approx((95 * DAY,))


def test_a_corrected_share_is_late_after_its_corrected_day() -> None:
    learned = lessons_of(told=many(record.ENOUGH, 100, 90), at=NOW).instruments
    (day,) = learned.days_s(GRID_S, [0.8])
    assert learned.late_share(GRID_S, day) == pytest.approx(0.2)
    assert learned.late_share(GRID_S, -DAY) == 1
    assert learned.late_share(GRID_S, 91 * DAY) == 0


@pytest.fixture
def clock(shop: make.Shop, monkeypatch: pytest.MonkeyPatch) -> make.Shop:
    """Let screens read the shop's own clock, and one that came be enough."""
    monkeypatch.setattr(timezone, "now", lambda: shop.now)
    monkeypatch.setattr(record, "ENOUGH", 1)
    return shop


def made(shop: make.Shop) -> Forecast:
    return make_forecast(at=shop.now, seed=3, futures=20, zone=ZONE)


def finish(shop: make.Shop, one: Instrument) -> datetime:
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(one, branch))
    one.refresh_from_db()
    assert one.closed_at
    return one.closed_at


@pytest.mark.twice
@pytest.mark.django_db
def test_what_came_of_a_forecast_is_what_the_floor_says(shop: make.Shop) -> None:
    first, second, third = released(shop, 3)
    (alone,) = released(shop, 1)
    said = made(shop)
    step = shop.step_of(shop.part(third, "ELECTRONICS"))
    assert step is not None
    shop.do(step)
    scrapped = shop.scan(Wish.SCRAP, step.part, step=step, by="qa", reason="burnt")
    assert scrapped.accepted, scrapped.refusal
    one, other = finish(shop, first), finish(shop, second)
    shop.later(days=1)
    found = {row.name: row for row in foretold(at=shop.now)}
    assert found.keys() == {
        first.serial,
        second.serial,
        alone.serial,
        first.order.number,
        alone.order.number,
    }
    assert (found[first.serial].came_at, found[second.serial].came_at) == (one, other)
    assert found[alone.serial].came_at is None
    # The order is finished with the last of those that were not scrapped.
    assert found[first.order.number].came_at == max(one, other)
    row = next(r for r in said.results["instruments"] if r["name"] == first.serial)
    assert found[first.serial].said_s[2:] == pytest.approx(row["by_s"], abs=1)
    assert row["by_s"][1] > max(row["grid_s"]), "doubted, since nothing is learned"
    assert found[first.order.number].is_new
    # What was kept before days were doubted is read as it was said.
    del said.results["doubted"]
    said.save()
    row = next(one for one in foretold(at=shop.now) if one.name == first.serial)
    assert row.said_s[3] == pytest.approx(row.grid_s[GRID.index(0.8)], abs=1)


@pytest.mark.django_db
def test_one_forecast_a_week_counts(shop: make.Shop) -> None:
    released(shop, 1)
    moments = []
    for _ in range(4):
        made(shop)
        moments.append(shop.now)
        shop.later(days=3)
    # From the last back: 3, 6 | 9, 12 days ago; of each week the last.
    days = {row.made_at for row in foretold(at=shop.now)}
    assert days == {moments[3], moments[1]}


@pytest.mark.django_db
def test_the_next_forecast_is_corrected_by_what_came(clock: make.Shop) -> None:
    first, second = released(clock, 2)
    made(clock)
    # It comes much later than in any future.
    clock.later(days=120)
    finish(clock, first)
    clock.later(days=1)
    told = made(clock).results
    assert told["learned_of"] == {"instruments": 1, "orders": 1}
    (row,) = told["instruments"]
    assert row["name"] == second.serial
    assert row["by_s"][1] > 2 * max(row["grid_s"])
    page = client(clock, "planner").get("/promises/")
    assert "corrected by what came of 1 instruments" in main_of(page)


@pytest.mark.django_db
def test_the_page_counts_the_days_that_held(clock: make.Shop) -> None:
    first, second = released(clock, 2)
    made(clock)
    finish(clock, first)
    clock.later(days=90)
    answer = client(clock, "planner").get("/promises/record/")
    instruments, orders = page_of(answer).sorts
    # The first was done by hand sooner than in any future; the second is not finished.
    assert (instruments.spoken.share.held, instruments.spoken.share.of) == (1, 2)
    assert (orders.spoken.share.held, orders.spoken.share.of) == (0, 1)
    assert second.closed_at is None
    main = main_of(answer)
    assert "Of 2 days of 80 of 100, 1 held: 50 of 100." in main
    assert main.count("<svg") == 2


@pytest.mark.django_db
def test_before_anything_was_forecast_the_page_says_so(clock: make.Shop) -> None:
    main = main_of(client(clock, "planner").get("/promises/record/"))
    assert "The days of fewer than 30 have come." in main
    assert "<svg" not in main


@pytest.mark.django_db
def test_the_record_asks_no_more_for_more_that_was_said(clock: make.Shop) -> None:
    asked = []
    for count in (1, 6):
        released(clock, count)
        made(clock)
        clock.later(days=8)
        planner = client(clock, "planner")
        asked.append(queries_of(planner, "/promises/record/"))
    assert asked[0] == asked[1]
