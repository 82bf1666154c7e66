"""Does a paper say what the rows say, and ask the database no more for more of them?"""

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.http import Http404
from django.test.utils import CaptureQueriesContext

from tests import make
from tests.floor.story import must_swap
from tests.make import MORNING
from travelers.floor.rules import Wish
from travelers.kit.drawing.marks import Look
from travelers.kit.refusals import Refused
from travelers.paper import queries, rules
from travelers.paper.queries import Traveler
from travelers.paper.rules import Size, Stock
from travelers.routes.rules import Branch

pytestmark = pytest.mark.django_db


def traveler(serial: str) -> Traveler:
    (found,) = queries.travelers(serials=[serial], size=Size.A4)
    return found


def test_a_new_traveler_has_every_operation_in_order() -> None:
    shop = make.shop()
    found = traveler(shop.instrument().serial)
    assert [
        (section.branch, [entry.line.number for entry in section.entries])
        for section in found.route.sections
    ] == [
        (Branch.BODY, [10, 20, 30, 40, 50, 60, 70]),
        (Branch.NECK, [10, 20]),
        (Branch.ELECTRONICS, [10]),
        (Branch.ASSEMBLY, [10, 20, 30]),
    ]
    body = found.route.sections[0].entries
    assert body[4].turns == (1, 2, 3)
    assert found.done == ()
    assert (body[0].place_code, body[0].place) == ("SAW", "Saw")


def test_a_join_says_what_it_waits_for() -> None:
    shop = make.shop()
    found = traveler(shop.instrument().serial)
    joint = found.route.sections[3].entries[0]
    assert joint.after == ((Branch.BODY, 70), (Branch.NECK, 20))


def test_what_is_done_has_its_day_and_the_strip_shows_it() -> None:
    shop = make.shop()
    instrument = shop.instrument()
    body = shop.part(instrument)
    shop.work(body, until="Glue")
    found = traveler(instrument.serial)
    saw, dry, *_ = found.route.sections[0].entries
    assert [done.key for done in found.done] == [saw.key, dry.key]
    assert found.done[0].days == (date(2026, 3, 10),)
    looks = [dot.look for dot in found.dots if dot.branch is Branch.BODY]
    assert looks[:4] == [Look.DONE, Look.DONE, Look.WAITING, Look.TO_COME]


def test_a_held_part_shows_held() -> None:
    shop = make.shop()
    instrument = shop.instrument()
    shop.scan(Wish.HOLD, shop.part(instrument), by="qa", reason="knot", only_part=True)
    dots = traveler(instrument.serial).dots
    assert next(dot.look for dot in dots if dot.branch is Branch.BODY) is Look.HELD
    assert next(dot.look for dot in dots if dot.branch is Branch.NECK) is Look.WAITING


def test_the_tags_are_the_parts_codes_and_the_wood_its_set() -> None:
    shop = make.shop()
    instrument = shop.instrument()
    found = traveler(instrument.serial)
    codes = {part.branch: part.code for part in instrument.parts.all()}
    assert {tag.branch: tag.code for tag in found.tags} == codes
    assert found.tag.branch is Branch.ASSEMBLY
    assert found.tag.link == f"HTTP://SHOP.LAN/T/{found.tag.code}"
    assert [part.wood for part in found.parts] == ["D001-01-B1", "D002-01-N1", ""]
    assert found.parts[0].species == "ash"


def test_travelers_of_one_order_share_their_route() -> None:
    shop = make.shop()
    found = queries.travelers(
        serials=[one.serial for one in shop.instruments(3)], size=Size.A4
    )
    assert len({one.route for one in found}) == 1
    assert [one.position for one in found] == [1, 2, 3]


def test_a_coat_has_its_own_day() -> None:
    shop = make.shop()
    instrument = shop.instrument()
    body = shop.part(instrument)
    shop.work(body, until="Lacquer")
    shop.do(body.steps.get(operation__name="Lacquer", repeat=1))
    found = traveler(instrument.serial)
    coats = found.route.sections[0].entries[4]
    (days,) = [done.days for done in found.done if done.key == coats.key]
    assert days[0] is not None
    assert days[1:] == (None, None)


def test_travelers_share_their_route_however_far_they_are() -> None:
    shop = make.shop()
    one, other = shop.instruments(2)
    shop.work(shop.part(one), until="Glue")
    found = queries.travelers(serials=[one.serial, other.serial], size=Size.A4)
    assert found[0].route == found[1].route
    assert found[0].done != found[1].done


def test_a_check_of_every_second_stands_on_those_alone() -> None:
    shop = make.shop()
    shop.revision = make.draft(shop.model, shop.cast, "B")
    check = shop.revision.operations.get(branch="BODY", number=40)
    check.characteristics.update(every_nth=2)
    make.release_revision(
        revision_id=shop.revision.pk, by=shop.cast.engineer, at=MORNING
    )
    found = queries.travelers(
        serials=[one.serial for one in shop.instruments(3)], size=Size.A4
    )
    checks = [len(one.route.sections[0].entries[3].checks) for one in found]
    assert checks == [1, 0, 1]


def test_more_travelers_cost_no_more_queries() -> None:
    shop = make.shop()
    serials = [one.serial for one in shop.instruments(4)]
    queries.travelers(serials=serials, size=Size.A4)
    counts = []
    for some in (serials[:1], serials):
        with CaptureQueriesContext(
            connection,
        ) as asked:
            queries.travelers(serials=some, size=Size.A4)
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 3


def test_what_nobody_has_is_not_found() -> None:
    shop = make.shop()
    known = shop.instrument().serial
    form = {"size": Size.A4, "stock": Stock.SHEET}
    for ask in (
        lambda: queries.travelers(serials=[known, "X99999"], size=Size.A4),
        lambda: queries.order_serials(number="W999"),
        lambda: queries.piece_labels(number="D999-01-B1", **form),
        lambda: queries.plank_labels(number="D999", **form),
        lambda: queries.station_card(code="NOWHERE", size=Size.A4),
    ):
        with pytest.raises(Http404):
            ask()


def test_an_order_that_is_not_released_is_refused() -> None:
    shop = make.shop()
    order = shop.order()
    with pytest.raises(Refused) as refused:
        queries.order_serials(number=order.number)
    assert refused.value.refusal == rules.NOT_RELEASED.about(order="W001")


def test_a_part_of_an_order_can_be_printed() -> None:
    shop = make.shop()
    serials = [one.serial for one in shop.instruments(4)]
    assert queries.order_serials(number="W001") == serials
    assert queries.order_serials(number="W001", first=2, last=3) == serials[1:3]
    assert queries.order_serials(number="W001", first=4) == serials[3:]
    assert queries.order_serials(number="W001", first=5) == []


def test_labels_of_a_set_are_its_own_and_one_a_piece() -> None:
    shop = make.shop()
    plank_set = shop.plank_set()
    sheet = queries.piece_labels(
        number=plank_set.number, size=Size.A4, stock=Stock.SHEET
    )
    whole, *pieces = sheet.labels
    assert (whole.code, whole.letter, whole.pieces) == (plank_set.code, "", 2)
    assert [piece.letter for piece in pieces] == ["A", "B"]
    assert [piece.code for piece in pieces] == list(
        plank_set.pieces.order_by("letter").values_list("code", flat=True)
    )
    assert {one.branch for one in sheet.labels} == {Branch.BODY}
    assert pieces[0].sizes_mm == (
        Decimal("520.00"),
        Decimal("170.00"),
        Decimal("50.00"),
    )


def test_labels_of_a_delivery_are_one_a_plank() -> None:
    shop = make.shop()
    delivery = shop.plank_set().plank.delivery
    sheet = queries.plank_labels(number=delivery.number, size=Size.A4, stock=Stock.ROLL)
    assert [label.number for label in sheet.labels] == ["D001-01"]
    assert sheet.labels[0].code.startswith("K")
    assert sheet.labels[0].branch is None


def test_an_instrument_has_four_tags() -> None:
    shop = make.shop()
    serials = [one.serial for one in shop.instruments(2)]
    sheet = queries.order_tags(
        number="W001", serials=serials, size=Size.A4, stock=Stock.SHEET
    )
    assert [(tag.serial, tag.branch) for tag in sheet.tags] == [
        (serial, branch) for serial in serials for branch in Branch
    ]


def test_station_cards_follow_the_stages() -> None:
    shop = make.shop()
    sheet = queries.station_cards(size=Size.A4)
    assert [card.station for card in sheet.cards] == [
        "SAW", "ROOM", "CLAMPS", "CUTTER", "FRETS", "BOOTH", "RACK", "BENCH",
    ]  # fmt: skip
    assert sheet.stages[0] == "Lumber"
    tag = shop.cast.stations["SAW"].tag
    assert sheet.cards[0].code == tag
    assert sheet.cards[0].link.endswith(f"/T/{tag}")


def test_papers_of_swapped_parts_name_the_new_pair_in_the_old_order() -> None:
    """A part from elsewhere has another number, and stands in its branch's place."""
    shop = make.shop()
    one, other = shop.instruments(2)
    mine, theirs = shop.part(one, "BODY"), shop.part(other, "BODY")
    shop.work(theirs, until="Dry")
    before = traveler(one.serial)
    must_swap(shop, mine, theirs)
    after = traveler(one.serial)
    assert theirs.plank_set
    assert [tag.branch for tag in after.tags] == list(Branch)
    assert (after.tags[0].code, after.tags[0].wood) == (
        theirs.code, theirs.plank_set.number,
    )  # fmt: skip
    assert after.tags[1:] == before.tags[1:]
    assert after.route.sections == before.route.sections
    assert [done.key for done in after.done] == [
        before.route.sections[0].entries[0].key
    ]
    branches = [dot.branch for dot in after.dots]
    assert branches == [dot.branch for dot in before.dots]
    sheet = queries.order_tags(
        number="W001",
        serials=[one.serial, other.serial],
        size=Size.A4,
        stock=Stock.SHEET,
    )
    assert [(tag.serial, tag.branch) for tag in sheet.tags] == [
        (each.serial, branch) for each in (one, other) for branch in Branch
    ]
    assert sheet.tags[0].code == theirs.code
    assert sheet.tags[0].wood == theirs.plank_set.number


def test_what_is_typed_in_from_paper_knows_no_line_of_a_swap() -> None:
    shop = make.shop()
    one, other = shop.instruments(2)
    mine, theirs = shop.part(one, "NECK"), shop.part(other, "NECK")
    shop.work(theirs, until="Fret")
    must_swap(shop, mine, theirs)
    sheet = queries.paper_sheet(serial=one.serial, today=shop.now.date())
    neck = next(part for part in sheet.branches if part.branch is Branch.NECK)
    assert [[row.kind for row in line.stored] for line in neck.lines] == [
        [Wish.START, Wish.FINISH],
        [],
    ]
