"""When has a part to be done here, and do its mates wait for it?"""

from datetime import date, timedelta

import pytest

from tests import desk, make
from tests.floor import story
from tests.floor.tablet import Tablet
from travelers.floor.queries import find_place, idle
from travelers.floor.queries.stations import Row
from travelers.floor.queries.urgency import ways_of
from travelers.floor.rules import Wish
from travelers.floor.rules.queue import Why
from travelers.floor.rules.remaining import WEEK_PER_WORK, Ways, once
from travelers.formulas.graph import longest_path
from travelers.orders.models import Part
from travelers.routes.queries import released_route
from travelers.routes.rules import Branch

pytestmark = pytest.mark.django_db

DAY, HOUR = timedelta(days=1), timedelta(hours=1)


def ready(shop: make.Shop, station: str) -> list[Row]:
    place = find_place(code=station)
    assert place
    return list(idle(place=place, at=shop.now).ready)


def line_id(ways: Ways, branch: str, number: int) -> int:
    return next(
        one.id
        for one in ways.route.lines
        if (one.branch, one.number) == (Branch(branch), number)
    )


def test_what_comes_after_is_the_longest_way_from_there(shop: make.Shop) -> None:
    """The same as the route's own longest path, asked of another program.

    ``formulas.graph.longest_path`` looks at the whole route; without what cannot be
    reached from a line it has to be as long as the way from there.
    """
    route = released_route(revision_id=shop.revision.pk)
    ways = Ways.of(route)
    pairs = route.precedences()
    for line in route.lines:
        reached = {line.id}
        for _ in route.lines:
            reached |= {after for before, after in pairs if before in reached}
        spans = {
            one.id: (
                once(one) * one.times
                + (one.shortest_between or timedelta(0)) * (one.times - 1)
            ).total_seconds()
            for one in route.lines
            if one.id in reached
        }
        kept = [pair for pair in pairs if set(pair) <= reached]
        length, _ = longest_path(spans, kept)
        assert ways.to_end[line.id].total_seconds() == length, line.name


def test_by_hand_for_the_small_route(shop: make.Shop) -> None:
    """Saw: ten days dry, three hours clamps, three coats, twenty days cure, the rest.

    Its operations plan the same work each (`make.route`), stretched to the calendar.
    """
    ways = ways_of(revision_id=shop.revision.pk)
    saw = line_id(ways, "BODY", 10)
    works = [one for one in ways.route.lines if one.branch is Branch.BODY][1:]
    joined = [one for one in ways.route.lines if one.branch is Branch.ASSEMBLY]
    work = sum((one.planned * one.times for one in (*works, *joined)), timedelta(0))
    lies = 30 * DAY + 3 * HOUR + 2 * 4 * HOUR
    assert ways.after(saw, 1) == work * WEEK_PER_WORK + lies
    # Of three coats the second has one to come.
    lacquer = line_id(ways, "BODY", 50)
    assert ways.after(lacquer, 2) - ways.after(lacquer, 3) == (
        once(ways.route.by_id[lacquer]) + 4 * HOUR
    )


def test_the_last_operation_has_to_be_done_on_the_due_day(shop: make.Shop) -> None:
    made = shop.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS"):
        shop.work(shop.part(made, branch))
    shop.work(shop.part(made, "ASSEMBLY"), until="Test play")
    (row,) = ready(shop, "BENCH")
    assert row.wanted_on == row.due_on == date(2026, 9, 1)


def test_what_still_dries_and_cures_goes_before_a_neck_of_the_same_order(
    shop: make.Shop,
) -> None:
    shop.instrument()
    body, neck = ready(shop, "SAW")
    assert (body.branch, neck.branch) == ("BODY", "NECK")
    assert body.wanted_on
    assert neck.wanted_on
    assert (neck.wanted_on - body.wanted_on).days in (29, 30, 31)


def test_a_part_whose_mates_wait_goes_before_one_of_the_same_day(
    shop: make.Shop,
) -> None:
    first, second = shop.instruments(2)
    shop.work(shop.part(second))
    rows = ready(shop, "SAW")
    necks = [row for row in rows if row.branch == "NECK"]
    assert [(row.serial, row.why) for row in necks] == [
        (second.serial, Why.MATES_WAIT),
        (first.serial, Why.DUE),
    ]


def test_a_part_that_would_wait_for_its_mates_is_wanted_with_them(
    shop: make.Shop,
) -> None:
    late, other = shop.instrument(), shop.instrument()
    late.order.due_on = shop.now.date()
    late.order.save(update_fields=["due_on"])
    by_serial = {row.serial: row for row in ready(shop, "SAW") if row.branch == "NECK"}
    neck = by_serial[late.serial]
    assert neck.why is Why.MATES_COME
    # Its body needs the whole way to the joint, a month at the least.
    assert neck.wanted_on
    assert 30 <= (neck.wanted_on - shop.now.date()).days <= 40
    body = shop.part(late)
    story.at(shop, body, "Cure")
    shop.must(Wish.LOAD, body.steps.get(operation__name="Cure"))
    shop.now = body.steps.get(operation__name="Cure").dwell_until or shop.now
    neck = next(
        row
        for row in ready(shop, "SAW")
        if row.serial == late.serial and row.branch == "NECK"
    )
    assert neck.why in (Why.MATES_COME, Why.LATE)
    assert neck.wanted_on
    assert neck.wanted_on <= shop.now.date() + DAY * 2
    assert by_serial[other.serial].why is Why.DUE


def test_the_rooms_load_says_what_it_is_filled_with(shop: make.Shop) -> None:
    for one in shop.instruments(4):
        shop.work(shop.part(one), until="Dry")
    room = Tablet(shop, "ROOM").open()
    rows = [" ".join(row.get_text(" ").split()) for row in room.page.select("li")]
    filled = [row for row in rows if "fills the load with" in row]
    # Three places: the first and two beside it.
    assert len(filled) == 2


def test_longer_lists_ask_no_more(shop: make.Shop, body: Part) -> None:
    asking = Tablet(shop, "SAW").client
    few = desk.queries_of(asking, "/station/SAW/")
    desk.released(shop, 20)
    assert desk.queries_of(asking, "/station/SAW/") == few
