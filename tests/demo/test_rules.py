"""Are the demo's hours, agenda, orders, readings and judgements what they say?"""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from travelers.demo.rules.agenda import Agenda, Process
from travelers.demo.rules.chances import Chances
from travelers.demo.rules.crew import HANDS, HOLDERS, LEADS, PLANNERS, QA
from travelers.demo.rules.hours import Hours, closed_days
from travelers.demo.rules.judgement import KindSaid, decision_of, severity_of, way_back
from travelers.demo.rules.plan import LEAST, MOST, Planned, plan, released, split
from travelers.demo.rules.values import WEARS, Readings, drift
from travelers.quality.rules import Decision, Severity
from travelers.routes.rules import (
    Branch,
    Check,
    CheckKind,
    Joins,
    Line,
    OperationKind,
    Usual,
)

BERLIN = ZoneInfo("Europe/Berlin")
DAY = Hours(BERLIN, "12345", time(6, 45), time(15, 15), frozenset({date(2026, 5, 1)}))
START = datetime(2026, 3, 2, 5, 45, tzinfo=UTC)


def at(day: int, hour: int, minute: int = 0, month: int = 3) -> datetime:
    """Give a moment of 2026 by the shop's clock."""
    return datetime(2026, month, day, hour, minute, tzinfo=BERLIN).astimezone(UTC)


# The hours.


@pytest.mark.parametrize(
    ("moment", "opens"),
    [
        (at(10, 5), at(10, 6, 45)),
        (at(10, 9), at(10, 9)),
        (at(10, 15, 15), at(11, 6, 45)),
        (at(13, 18), at(16, 6, 45)),  # a Friday evening
        (at(30, 18, month=4), at(4, 6, 45, month=5)),  # the holiday and a weekend
    ],
)
def test_a_shift_opens_at_its_next_hour(moment: datetime, opens: datetime) -> None:
    assert DAY.open_from(moment) == opens


def test_work_goes_on_the_next_workday() -> None:
    friday_afternoon = at(13, 14, 45)
    assert DAY.after(friday_afternoon, timedelta(minutes=20)) == at(13, 15, 5)
    assert DAY.after(friday_afternoon, timedelta(hours=1)) == at(16, 7, 15)
    assert DAY.before(at(16, 7, 15), timedelta(hours=1)) == friday_afternoon


@pytest.mark.parametrize("hours", [0, 1, 8.5, 9, 40, 400])
def test_counting_back_undoes_counting_on(hours: float) -> None:
    work = timedelta(hours=hours)
    begins = at(10, 9)
    assert DAY.before(DAY.after(begins, work), work) == begins


def test_a_shift_has_its_hours_on_the_day_the_clock_is_put_forward() -> None:
    """Summer time began on 29 March 2026 in Berlin, from two to three at night."""
    sunday = Hours(BERLIN, "7", time(6, 45), time(15, 15))
    opens, closes = sunday.bounds(date(2026, 3, 29))
    assert opens == datetime(2026, 3, 29, 4, 45, tzinfo=UTC)
    assert closes - opens == timedelta(hours=8, minutes=30)


def test_closed_days_come_again_every_year() -> None:
    days = closed_days([date(2026, 5, 1), date(2024, 2, 29)], 2025, 2027)
    assert days == (date(2025, 5, 1), date(2026, 5, 1), date(2027, 5, 1))


# The agenda.


def test_who_waits_goes_on_in_the_order_of_time() -> None:
    agenda, said = Agenda(START), []

    def wait(name: str, minutes: int) -> Process:
        yield START + timedelta(minutes=minutes)
        said.append((name, agenda.now - START))

    agenda.start(wait("late", 30), START)
    agenda.start(wait("early", 10), START)
    agenda.start(wait("after the end", 90), START)
    agenda.run(START + timedelta(hours=1))
    assert said == [
        ("early", timedelta(minutes=10)),
        ("late", timedelta(minutes=30)),
    ]


def test_who_sleeps_goes_on_when_woken_and_only_then() -> None:
    agenda, woken = Agenda(START), []

    def sleep() -> Process:
        while True:
            yield None
            woken.append(agenda.now)

    def wake(process: Process) -> Process:
        for _ in range(2):
            yield agenda.now + timedelta(hours=1)
            agenda.wake(process)
            agenda.wake(process)

    sleeper = sleep()
    agenda.start(sleeper, START)
    agenda.start(wake(sleeper), START)
    agenda.run(START + timedelta(days=1))
    assert woken == [START + timedelta(hours=1), START + timedelta(hours=2)]


# Chances and people.


def test_streams_do_not_disturb_each_other() -> None:
    alone, together = Chances(5), Chances(5)
    together.of("other").random()
    assert alone.of("one").random() == together.of("one").random()
    assert alone.event_id() == together.event_id()
    assert Chances(6).event_id() != Chances(5).event_id()


def test_nobody_is_expected_at_two_places_in_one_shift() -> None:
    places = [(job.shift, s) for job in HANDS.values() for s in job.stations]
    assert len(places) == len(set(places))


def test_deciders_are_named_once() -> None:
    for names in (QA, HOLDERS, PLANNERS):
        assert len(set(names)) == len(names)
    assert set(LEADS.values()).isdisjoint(PLANNERS)


# The orders.


@pytest.mark.parametrize("total", [1, 2, 7, 8, 30, 100, 176, 500])
def test_orders_add_up_and_are_of_the_usual_size(total: int) -> None:
    sizes = split(total, Random(1))
    assert sum(sizes) == total
    assert max(sizes) <= MOST
    if total >= 100:
        assert min(sizes) >= LEAST


def planned(instruments: int) -> tuple[Planned, ...]:
    return plan(
        instruments=instruments,
        finishes={"TERN": ["Fog White"], "HERON": ["Clear Ebb"]},
        hours=DAY,
        end=at(18, 14, month=11),
        chance=Random(1),
    )


def test_two_orders_wait_one_of_them_for_wood() -> None:
    orders = planned(176)
    waiting = [order for order in orders if order.released_at is None]
    assert [order.has_wood for order in waiting] == [True, False]
    assert released(orders).total() == 176
    assert len({order.number for order in orders}) == len(orders)


def test_orders_are_made_and_released_in_the_hours_of_the_office() -> None:
    orders = planned(60)
    moments = [order.released_at for order in orders if order.released_at]
    assert moments == sorted(moments)
    for order in orders:
        assert DAY.open_from(order.made_at) == order.made_at
        assert order.released_at is None or order.made_at < order.released_at
        assert order.due_on > DAY.day_of(order.made_at)


# The readings.


def check(**changed: Any) -> Check:
    usual: dict[str, Any] = {
        "id": 1,
        "code": "BODY_THICK",
        "name": "Body thickness",
        "kind": CheckKind.MEASURED,
        "unit": "mm",
        "nominal": Decimal("44.40"),
        "lower": Decimal("44.20"),
        "upper": Decimal("44.60"),
        "decimals": 2,
        "places": 4,
        "place_name": "point",
        "every_nth": 1,
        "gauge_kind": "caliper",
    }
    return Check(**(usual | changed))


@pytest.mark.parametrize(
    "found",
    [
        check(),
        check(nominal=None),
        check(nominal=None, lower=None),
        check(upper=None),
        check(code="BODY_POCKET_W", decimals=1),
    ],
)
def test_readings_lie_inside_and_are_written_as_the_gauge_shows(found: Check) -> None:
    readings = Readings(Random(2))
    values = [value for _ in range(200) for value in readings.of(found)]
    assert all(found.lower is None or value >= found.lower for value in values)
    assert all(found.upper is None or value <= found.upper for value in values)
    assert {value.as_tuple().exponent for value in values} == {-found.decimals}
    assert len(set(values)) > 3


@pytest.mark.parametrize("found", [check(), check(lower=None), check(upper=None)])
def test_one_place_is_out_when_it_is_to_be(found: Check) -> None:
    readings = Readings(Random(2))
    for _ in range(50):
        values = readings.outside(found, readings.of(found))
        outside = [
            value
            for value in values
            if (found.lower is not None and value < found.lower)
            or (found.upper is not None and value > found.upper)
        ]
        assert len(outside) == 1


def test_what_is_judged_is_good_and_what_is_counted_is_whole() -> None:
    readings = Readings(Random(2))
    judged = check(kind=CheckKind.JUDGED, unit="", lower=None, upper=None)
    counted = check(kind=CheckKind.COUNTED, lower=None, upper=Decimal(2), decimals=0)
    assert readings.of(judged) == [Decimal(1)] * 4
    assert readings.outside(judged, [Decimal(1)]) == [Decimal(0)]
    assert set(readings.of(counted)) <= {Decimal(0), Decimal(1), Decimal(2)}
    assert readings.outside(counted, [Decimal(0)])[0] > 2


@pytest.mark.parametrize("code", WEARS)
def test_a_tool_wears_and_is_changed(code: str) -> None:
    fresh, worn, life = WEARS[code]
    assert drift(code, 0) == drift(code, life) == fresh
    assert abs(drift(code, life - 1) - worn) < abs(worn - fresh) / life * 1.01


# The judgements.


def line(number: int, **changed: Any) -> Line:
    usual: dict[str, Any] = {
        "id": number,
        "branch": Branch.BODY,
        "number": number,
        "name": f"Line {number}",
        "kind": OperationKind.WORK,
        "joins": Joins.NOTHING,
        "planned": timedelta(minutes=10),
        "shortest_dwell": timedelta(0),
        "longest_gap": None,
        "times": 1,
        "shortest_between": None,
        "longest_between": None,
        "instruction": "",
        "picture": "body",
        "after": (),
        "checks": (),
        "hazards": (),
    }
    return Line(**(usual | changed))


ROUTE = (
    line(10),
    line(20, kind=OperationKind.HOLD),
    line(30, kind=OperationKind.JOIN, joins=Joins.PIECES),
    line(40, times=10),
    line(50),
    line(60),
    line(70, kind=OperationKind.INSPECT),
)


@pytest.mark.parametrize(
    ("kind", "back_to"),
    [
        ("SAND_THROUGH", {40}),
        ("OPEN_GLUE", {30}),
        ("WARP", {20}),
        ("SCRATCH", {50, 60, 70}),
    ],
)
def test_a_part_goes_back_to_where_its_defect_is_cured(
    kind: str, back_to: set[int]
) -> None:
    ways = {way_back(ROUTE, KindSaid(kind, "REWORK"), Random(n)) for n in range(30)}
    assert ways == back_to


def test_there_is_no_way_back_where_nothing_is_done() -> None:
    assert way_back((), KindSaid("WARP", "REWORK"), Random(1)) is None


@pytest.mark.parametrize("usual", Usual)
def test_every_kind_of_defect_is_judged_and_decided(usual: Usual) -> None:
    kind, chance = KindSaid("ANY", usual), Random(3)
    found = {severity_of(kind, chance) for _ in range(100)}
    made = {decision_of(kind, Severity.MAJOR, n, chance) for n in range(100)}
    assert found <= set(Severity)
    assert Decision(usual) in made


def test_of_what_is_usually_scrapped_every_sixth_is() -> None:
    kind = KindSaid("SPLIT", "SCRAP")
    made = [decision_of(kind, Severity.STOP, n, Random(1)) for n in range(12)]
    assert made.count(Decision.SCRAP) == 2
