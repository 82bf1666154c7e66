"""Is a cause that is there named, and chance not?"""

from datetime import date, timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from tests import make
from tests.desk import client
from tests.floor.story import at, report
from travelers.floor.rules import Wish
from travelers.lumber.models import Plank, PlankSet
from travelers.orders.models import Instrument, Part, Step
from travelers.quality import queries
from travelers.quality.queries import Question
from travelers.quality.queries.shared_causes import CommonPage
from travelers.quality.rules import Factor
from travelers.routes.models import DefectBranch, DefectKind
from travelers.shop.actions import change_cutter
from travelers.shop.models import Station

pytestmark = [pytest.mark.django_db, pytest.mark.once]

ZONE = ZoneInfo("Europe/Madrid")


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


def ask(shop: make.Shop, **said: Any) -> CommonPage:
    question = Question(
        **{"kind": "TEAR_OUT", "since": date(2026, 1, 1), "until": date(2027, 1, 1)}
        | said
    )
    return queries.common_page(question=question, zone=ZONE)


def machined(shop: make.Shop, count: int) -> list[Part]:
    """Give bodies that passed the cutter."""
    bodies = [shop.part(one) for one in shop.instruments(count)]
    for body in bodies:
        shop.work(body, until="Lacquer")
    return bodies


def of_one_plank(bodies: list[Part]) -> Plank:
    """Let bodies be of one plank, as if it had given all their sets."""
    plank: Plank = bodies[0].plank_set.plank
    sets = PlankSet.objects.filter(pk__in=[body.plank_set_id for body in bodies])
    sets.update(plank=plank)
    return plank


def factors(page: CommonPage) -> set[Factor]:
    return {one.factor for row in page.rows for one in row.names}


def step_of(body: Part, name: str) -> Step:
    return body.steps.filter(operation__name=name).earliest("position")


def find_run(shop: make.Shop, body: Part) -> None:
    report(shop, step_of(body, "Lacquer"), "RUN")


def find_fault(shop: make.Shop, body: Part) -> None:
    step = body.steps.get(operation__name="Machine")
    shop.later(minutes=5)
    report(shop, step, "TEAR_OUT")


@pytest.mark.twice
def test_the_plank_is_named_and_its_delivery_is_not_blamed(shop: make.Shop) -> None:
    bodies = machined(shop, 20)
    plank = of_one_plank(bodies[:6])
    for body in bodies[:6]:
        find_fault(shop, body)
    page = ask(shop)
    assert (page.cases, page.rest) == (6, 14)
    (row,) = page.leading
    first = row.names[0]
    assert (first.factor, first.name) == (Factor.PLANK, plank.number)
    assert (row.suspect.cases_in, row.suspect.rest_in) == (6, 0)


def test_scattered_defects_are_called_chance(shop: make.Shop) -> None:
    bodies = machined(shop, 16)
    for body in bodies[::4]:
        find_fault(shop, body)
    page = ask(shop)
    assert page.is_ranked
    assert page.leading == ()
    said = client(shop, "qa").get(
        "/quality/common/",
        {"kind": "TEAR_OUT", "since": "2026-01-01", "until": "2027-01-01"},
    )
    assert "Nothing stands out." in said.content.decode()


def test_what_came_after_the_defect_is_no_cause(shop: make.Shop) -> None:
    bodies = machined(shop, 8)
    for body in bodies[:3]:
        find_fault(shop, body)
    before = factors(ask(shop))
    load = str(uuid4())
    for body in bodies[:3]:
        shop.work(body, until="Cure")
        step = shop.step_of(body)
        assert step
        shop.later(hours=5)
        shop.must(Wish.LOAD, step, load=load)
    assert Factor.LOAD not in before
    assert Factor.LOAD not in factors(ask(shop))


def test_nobody_is_compared_with_what_has_not_come_so_far(shop: make.Shop) -> None:
    bodies = machined(shop, 9)
    for body in bodies[:4]:
        shop.work(body, until="Cure")
        find_run(shop, body)
    page = ask(shop, kind="RUN")
    assert (page.cases, page.rest, page.alone) == (0, 0, 4)
    assert not page.is_ranked
    said = client(shop, "qa").get(
        "/quality/common/",
        {"kind": "RUN", "since": "2026-01-01", "until": "2027-01-01"},
    )
    assert "4 more have nobody to be compared with" in said.content.decode()
    shop.work(bodies[4], until="Cure")
    page = ask(shop, kind="RUN")
    assert (page.cases, page.rest, page.alone) == (4, 1, 0)


def test_each_is_compared_at_the_operation_of_its_own_defect(shop: make.Shop) -> None:
    """Else those found early would be compared with what came further."""
    bodies = machined(shop, 10)
    for body in bodies:
        shop.work(body, until="Cure")
    for body in bodies[:2]:
        find_run(shop, body)
    for body in bodies[5:]:
        shop.work(body)
    for body in bodies[5:7]:
        report(shop, step_of(body, "Inspect body"), "RUN")
    page = ask(shop, kind="RUN")
    assert (page.cases, page.rest) == (4, 6)
    # The rack says how far a body came: none had met it at the booth, all at the end.
    racks = Station.objects.get(code="RACK").name
    assert racks not in {one.name for row in page.rows for one in row.names}


@pytest.mark.twice
def test_what_another_part_met_is_no_cause_before_they_are_joined(
    shop: make.Shop,
) -> None:
    """How far the body had come when the harness was tested says when, not why."""
    kind = DefectKind.objects.get(code="BUZZ")
    DefectBranch.objects.create(kind=kind, branch="ELECTRONICS")
    instruments = shop.instruments(8)
    for one in instruments[:3]:
        shop.work(shop.part(one), until="Dry")
    for one in instruments:
        shop.work(shop.part(one, "ELECTRONICS"))
    for one in instruments[:3]:
        harness = shop.part(one, "ELECTRONICS")
        report(shop, harness.steps.latest("position"), "BUZZ")
    page = ask(shop, kind="BUZZ")
    assert (page.cases, page.rest) == (3, 5)
    assert page.leading == ()
    assert factors(page) <= {Factor.STATION, Factor.WEEK, Factor.REVISION}
    saw = Station.objects.get(code="SAW").name
    assert saw not in {one.name for row in page.rows for one in row.names}


def test_a_batch_of_glue_is_named() -> None:
    shop = make.shop(uses=True)
    bad, *good = (shop.batch() for _ in range(4))
    bodies = [shop.part(one) for one in shop.instruments(16)]
    for n, body in enumerate(bodies):
        shop.bring(bad if n < 4 else good[n % 3], "CLAMPS")
        shop.work(body, until="Lacquer")
    for body in bodies[:4]:
        find_fault(shop, body)
    page = ask(shop)
    named = [one for row in page.leading for one in row.names]
    assert (Factor.BATCH, bad.number, "Hide glue") in [
        (one.factor, one.name, one.of) for one in named
    ]


def test_what_is_seen_in_wet_glue_is_seen_in_its_batch() -> None:
    """Found before the end of the work, two of the four without any end."""
    shop = make.shop(uses=True)
    clamps = shop.cast.stations["CLAMPS"].stage
    DefectKind.objects.get(code="TEAR_OUT").stages.add(clamps)
    bad, *good = (shop.batch() for _ in range(4))
    for n, instrument in enumerate(shop.instruments(16)):
        body = shop.part(instrument)
        shop.bring(bad if n < 4 else good[n % 3], "CLAMPS")
        shop.work(body, until="Glue")
        step = shop.step_of(body)
        shop.must(Wish.START, step)
        if n < 4:
            shop.later(minutes=1)
            report(shop, step, "TEAR_OUT")
        if n > 1:
            shop.work(body, until="Machine")
    page = ask(shop)
    assert page.cases == 4
    named = [one for row in page.leading for one in row.names]
    assert (Factor.BATCH, bad.number) in [(one.factor, one.name) for one in named]


def test_a_worn_cutter_is_named(shop: make.Shop) -> None:
    bodies = [shop.part(one) for one in shop.instruments(16)]
    for n, body in enumerate(bodies):
        shop.work(body, until="Machine")
        if n % 4 == 0:
            change_cutter(
                station_id=shop.cast.stations["CUTTER"].pk,
                head="top",
                number=f"C-{n}",
                life_parts=4,
                by=shop.cast.joiner,
                at=shop.later(hours=1),
            )
        shop.work(body, until="Lacquer")
    for body in bodies[4:8]:
        find_fault(shop, body)
    page = ask(shop)
    named = [one for row in page.leading for one in row.names]
    assert (Factor.CUTTER, "C-4") in [(one.factor, one.name) for one in named]


def test_a_drying_load_is_named(shop: make.Shop) -> None:
    instruments = shop.instruments(15)
    bodies = [shop.part(one) for one in instruments]
    loads = [str(uuid4()) for _ in range(5)]
    shop.cast.stations["ROOM"].places = 50
    shop.cast.stations["ROOM"].save()
    for n, body in enumerate(bodies):
        step = at(shop, body, "Dry")
        shop.must(Wish.LOAD, step, load=loads[n // 3 if n < 12 else 4])
    for body in bodies:
        shop.work(body, until="Lacquer")
    for body in bodies[:3]:
        find_fault(shop, body)
    page = ask(shop)
    top = page.rows[0]
    assert Factor.LOAD in {one.factor for one in top.names}
    assert (top.suspect.cases_in, top.suspect.rest_in) == (3, 0)


def test_too_few_are_said_to_be_too_few(shop: make.Shop) -> None:
    bodies = machined(shop, 3)
    find_fault(shop, bodies[0])
    page = ask(shop)
    assert not page.is_ranked
    assert page.cases == 1
    said = client(shop, "qa").get(
        "/quality/common/",
        {"kind": "TEAR_OUT", "since": "2026-01-01", "until": "2027-01-01"},
    )
    assert "From three on" in said.content.decode()


@pytest.mark.twice
def test_what_was_found_in_another_time_or_model_does_not_count(
    shop: make.Shop,
) -> None:
    bodies = machined(shop, 6)
    for body in bodies[:3]:
        find_fault(shop, body)
    day = shop.now.date()
    assert ask(shop, until=day - timedelta(days=1)).cases == 0
    assert ask(shop, model="no such model").cases == 0
    assert ask(shop, model=shop.model.name).cases == 3
    assert Instrument.objects.count() == 6


@pytest.mark.parametrize(
    ("said", "status"),
    [
        ({}, 200),
        ({"kind": "TEAR_OUT"}, 422),
        ({"kind": "TEAR_OUT", "since": "x", "until": "2026-01-01"}, 422),
        ({"kind": "TEAR_OUT", "since": "2026-02-01", "until": "2026-01-01"}, 422),
        ({"kind": "NO_SUCH", "since": "2026-01-01", "until": "2026-02-01"}, 200),
    ],
)
def test_what_is_asked_must_be_a_time(
    shop: make.Shop, said: dict[str, str], status: int
) -> None:
    assert client(shop, "qa").get("/quality/common/", said).status_code == status


def test_a_week_is_that_of_the_same_operation_for_all(shop: make.Shop) -> None:
    """Found early, defects would else share weeks in which nobody got so far."""
    bodies = machined(shop, 8)
    for place, body in enumerate(bodies):
        shop.work(body, until="Cure")
        if place % 3 == 0:
            step = body.steps.filter(operation__name="Lacquer").earliest("position")
            report(shop, step, "RUN")
    for body in bodies:
        shop.work(body)
    report(shop, bodies[1].steps.get(operation__name="Inspect body"), "RUN")
    page = ask(shop, kind="RUN")
    assert (page.cases, page.rest) == (4, 4)
    assert page.leading == ()
    weeks = [
        row for row in page.rows if any(one.factor is Factor.WEEK for one in row.names)
    ]
    assert weeks
    assert all(row.rest_in for row in weeks if row.suspect.cases_in > 1)


def test_every_kind_that_can_be_asked_counts(shop: make.Shop) -> None:
    bodies = machined(shop, 20)
    of_one_plank(bodies[:6])
    for body in bodies[:6]:
        find_fault(shop, body)
    alone = ask(shop)
    for body in bodies[10:13]:
        shop.work(body, until="Cure")
        step = body.steps.filter(operation__name="Lacquer").earliest("position")
        report(shop, step, "RUN")
    both = ask(shop)
    assert (alone.searches, both.searches) == (1, 2)
    assert both.rows[0].adjusted_p == pytest.approx(2 * alone.rows[0].adjusted_p)
    (row,) = both.leading
    assert row.names[0].factor is Factor.PLANK
