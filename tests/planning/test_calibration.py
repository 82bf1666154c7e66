"""Is it told honestly how many of the drying forecasts came true?"""

import math
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from random import Random
from zoneinfo import ZoneInfo

import pytest
import time_machine

from tests import make
from tests.desk import client, main_of, page_of, queries_of, released
from travelers.floor.rules import Wish
from travelers.formulas.drying import RatePrior
from travelers.lumber.actions import note_airs
from travelers.lumber.models import Room
from travelers.lumber.queries import climate
from travelers.lumber.rules import Told
from travelers.orders.models import Part, Step
from travelers.planning.queries.calibration import (
    ENOUGH,
    Case,
    Record,
    cases_of,
    crossing,
    judge,
    record_of,
)
from travelers.planning.queries.drying import Lot

AT = datetime(2026, 3, 10, 8, 30, tzinfo=UTC)
LIMIT_PCT, EQUILIBRIUM_PCT, METER_PCT = 8.0, 6.0, 0.3


# --- The count, on sets whose truth is known


def simulated(
    seed: int, *, said_equilibrium_pct: float = EQUILIBRIUM_PCT
) -> list[Case]:
    """Dry 150 sets at rates of one sort, and forecast each after 2 to 5 readings.

    The true day is known here; that it is found from readings alone is tried below.
    """
    chance = Random(seed)
    prior = RatePrior(math.log(0.04), 0.25)
    cases = []
    for number in range(150):
        rate = 0.04 * math.exp(chance.gauss(0, 0.25))
        start = chance.uniform(11, 14)
        gap = start - EQUILIBRIUM_PCT
        came = math.log(gap / (LIMIT_PCT - EQUILIBRIUM_PCT)) / rate
        days = [4.0 * n for n in range(6)]
        shown = [
            EQUILIBRIUM_PCT + gap * math.exp(-rate * day) + chance.gauss(0, METER_PCT)
            for day in days
        ]
        lot = Lot(number, number, AT, None, (1, 5, "BODY", 20))
        cases += [
            Case(lot, days[:n], shown[:n], said_equilibrium_pct, prior, came)
            for n in range(2, 6)
        ]
    return cases


def record(cases: list[Case]) -> Record:
    judged = judge(room="Room", limit_pct=LIMIT_PCT, cases=cases)
    return record_of(name="", judged=[judged])


def test_forecasts_that_are_right_hold_as_often_as_they_say() -> None:
    found = record(simulated(1))
    assert found.count == 600
    assert found.sets == 150
    held = {one.confidence_pct: one.share.share for one in found.held}
    assert 0.75 <= held[80] <= 0.85
    assert 0.43 <= held[50] <= 0.57
    assert 0.91 <= held[95] <= 0.99


def test_forecasts_that_are_wrong_are_seen_to_be() -> None:
    """Told of air two percent damper, every day comes out too late."""
    found = record(simulated(1, said_equilibrium_pct=7.5))
    assert found.said.most < 0.7


def test_what_was_said_never_to_dry_is_counted_apart() -> None:
    found = record(simulated(1, said_equilibrium_pct=8.0))
    assert (found.count, found.denied) == (0, 600)
    assert not found.is_enough


# --- The day that came


@pytest.mark.parametrize(
    ("pct", "found"),
    [
        ((12, 10, 9, 7.0), (3, 25.0)),
        # A reading above the limit after one below does not count.
        ((12, 10, 7, 9), (2, 16 + 2 / 3)),
        ((12, 10, 9, 8.0), None),
        ((7.9, 7.5, 7, 6), None),
        ((), None),
    ],
)
def test_the_day_lies_on_the_line_that_crosses_the_limit(
    pct: Sequence[float], found: tuple[int, float] | None
) -> None:
    assert crossing((0, 10, 20, 30), pct, LIMIT_PCT) == (
        pytest.approx(found) if found else None
    )


# --- The page


@pytest.fixture
def room(shop: make.Shop) -> Room:
    shop.cast.stations["ROOM"].places = 40
    shop.cast.stations["ROOM"].save()
    made = Room.objects.create(
        station=shop.cast.stations["ROOM"], limit_pct=Decimal("7.2")
    )
    note_airs(
        room_id=made.pk,
        readings=[
            (shop.now + timedelta(hours=6 * n), Decimal(40), Decimal(33))
            for n in range(-40, 800)
        ],
        told=Told.BY_LOGGER,
    )
    return made


def dry(shop: make.Shop, count: int) -> None:
    """Let sets dry together, read every eight days, and take them out."""
    parts: list[Part] = [shop.part(one) for one in released(shop, count)]
    for part in parts:
        shop.work(part, until="Dry")
        shop.must(Wish.LOAD, lying(shop, part))
    for shown in ("11.0", "9.1", "8.0", "7.0"):
        shop.later(days=8)
        for part in parts:
            assert part.plank_set
            shop.read_wood(part.plank_set, shown, shown)
    for part in parts:
        shop.check(lying(shop, part))
        shop.must(Wish.TAKE_OUT, lying(shop, part))


def lying(shop: make.Shop, part: Part) -> Step:
    step = shop.step_of(part)
    assert step
    return step


@pytest.mark.django_db
def test_a_shop_without_any_past_is_told_so(shop: make.Shop, room: Room) -> None:
    answer = client(shop, "planner").get("/moisture/calibration/")
    assert "0 forecasts can be looked back at" in main_of(answer)


@pytest.mark.django_db
def test_each_reading_above_the_limit_is_one_forecast(
    shop: make.Shop, room: Room
) -> None:
    dry(shop, 2)
    with time_machine.travel(shop.now, tick=False):
        answer = client(shop, "planner").get("/moisture/calibration/")
    whole = page_of(answer).whole
    assert (whole.sets, whole.count, whole.denied) == (2, 6, 0)
    assert "6 forecasts can be looked back at" in " ".join(main_of(answer).split())
    assert "<svg" not in main_of(answer)


@pytest.mark.django_db
def test_with_enough_of_them_it_says_how_many_came_true(
    shop: make.Shop, room: Room
) -> None:
    dry(shop, 1 + ENOUGH // 3)
    with time_machine.travel(shop.now, tick=False):
        planner = client(shop, "planner")
        answer = planner.get("/moisture/calibration/")
        many = queries_of(planner, "/moisture/calibration/")
    whole = page_of(answer).whole
    said = " ".join(main_of(answer).split())
    assert f"Of {whole.count} forecasts that gave a day with 80 of 100" in said
    assert f"{whole.said.held} came true" in said
    assert "<svg" in main_of(answer)
    assert many < 20
    # The questions do not grow with the sets.
    dry(shop, 2)
    with time_machine.travel(shop.now, tick=False):
        planner = client(shop, "planner")
        assert queries_of(planner, "/moisture/calibration/") == many


@pytest.mark.django_db
def test_what_came_later_changes_no_forecast_of_before(
    shop: make.Shop, room: Room
) -> None:
    dry(shop, 2)

    def first() -> list[Case]:
        now = climate(code="ROOM", at=shop.now)
        cases = cases_of(climate=now, at=shop.now, zone=ZoneInfo("UTC"))
        return sorted(cases, key=lambda one: (one.lot.step_id, len(one.days)))[:6]

    before = first()
    dry(shop, 3)
    assert first() == before
