"""Does a cell of the board list its parts, those that lie longest first?"""

from datetime import timedelta

import pytest
from django.urls import reverse

from tests import make
from tests.desk import client, page_of, queries_of, released, text_of
from travelers.floor.rules import Wish
from travelers.orders.models import Part, WorkOrder

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def cell(stage: str, branch: str) -> str:
    return reverse("planning:cell", args=[stage, branch])


@pytest.mark.twice
def test_parts_are_listed_oldest_first(shop: make.Shop) -> None:
    late, early, middle = released(shop, 3)
    for instrument, hours in ((early, 1), (middle, 5), (late, 9)):
        Part.objects.filter(instrument=instrument, branch="BODY").update(
            since=shop.now + timedelta(hours=hours)
        )
    page = page_of(client(shop, "planner").get(cell("LUMBER", "BODY")))
    assert [row.serial for row in page.rows] == [
        early.serial,
        middle.serial,
        late.serial,
    ]


def test_a_row_says_what_the_part_is_at(
    shop: make.Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    (instrument,) = released(shop, 1)
    shop.work(shop.part(instrument), until="Lacquer")
    since = shop.part(instrument).since
    at = shop.later(hours=30)
    monkeypatch.setattr("django.utils.timezone.now", lambda: at)
    answer = client(shop, "joiner").get(cell("FINISHING", "BODY"))
    (row,) = page_of(answer).rows
    assert (row.serial, row.model, row.finish) == ("W00001", "Wren", "Tide Green")
    assert (row.operation, row.look, row.order) == ("Lacquer 1/3", "WAITING", "W001")
    assert (row.since, row.age) == (since, at - since)
    assert "1 d 6 h" in text_of(answer)


def test_a_part_that_waits_at_a_join_names_the_join(shop: make.Shop) -> None:
    (instrument,) = released(shop, 1)
    shop.work(shop.part(instrument, "ELECTRONICS"))
    shop.work(shop.part(instrument, "NECK"))
    planner = client(shop, "planner")
    (harness,) = page_of(planner.get(cell("ASSEMBLY", "ELECTRONICS"))).rows
    (neck,) = page_of(planner.get(cell("ASSEMBLY", "NECK"))).rows
    assert (harness.operation, neck.operation) == ("Harness", "Neck joint")


def test_a_held_part_says_why_and_by_whom(shop: make.Shop) -> None:
    first, second = released(shop, 2)
    held = shop.part(first)
    shop.scan(Wish.HOLD, held, by="qa", at="SAW", reason="a knot", only_part=True)
    shop.scan(Wish.HOLD, held, by="lead", at="SAW", reason="and a split")
    rows = page_of(client(shop, "qa").get(cell("LUMBER", "BODY"))).rows
    told = {row.serial: (row.look, row.held_reason, row.held_by) for row in rows}
    assert told == {
        first.serial: ("HELD", "a knot", "Qa Cast"),
        second.serial: ("WAITING", "", ""),
    }
    # The second hold stops the neck too, the first does not.
    neck = page_of(client(shop, "qa").get(cell("LUMBER", "NECK"))).rows
    assert {row.held_reason for row in neck} == {"and a split", ""}


@pytest.mark.twice
def test_an_order_that_is_late_is_marked(shop: make.Shop) -> None:
    released(shop, 1)
    WorkOrder.objects.update(due_on=shop.now.date() - timedelta(days=400))
    answer = client(shop, "planner").get(cell("LUMBER", "BODY"))
    assert page_of(answer).rows[0].is_late
    assert ">late<" in text_of(answer)


def test_a_cell_is_read_in_leaves_of_a_hundred(shop: make.Shop) -> None:
    released(shop, 101)
    planner = client(shop, "planner")
    page = page_of(planner.get(cell("LUMBER", "BODY")))
    assert (len(page.rows), page.leaf.of, page.leaf.count) == (100, 2, 101)
    page = page_of(planner.get(f"{cell('LUMBER', 'BODY')}?leaf=2"))
    assert [row.serial for row in page.rows] == ["W00101"]


@pytest.mark.parametrize(
    ("stage", "branch"), [("NOWHERE", "BODY"), ("LUMBER", "CASE"), ("LUMBER", "body")]
)
def test_a_cell_that_is_not_on_the_board_says_so(
    shop: make.Shop, stage: str, branch: str
) -> None:
    assert client(shop, "planner").get(cell(stage, branch)).status_code == 404


def test_an_empty_cell_says_so(shop: make.Shop) -> None:
    answer = client(shop, "planner").get(cell("DRYING", "BODY"))
    assert "Nothing is here at the moment." in text_of(answer)


def test_more_parts_ask_no_more_of_the_database(shop: make.Shop) -> None:
    planner = client(shop, "planner")
    first = released(shop, 5)[0]
    shop.scan(Wish.HOLD, shop.part(first), by="qa", at="SAW", reason="a knot")
    few = queries_of(planner, cell("LUMBER", "BODY"))
    for one in released(shop, 50)[:20]:
        shop.scan(Wish.HOLD, shop.part(one), by="qa", at="SAW", reason="a knot")
    assert queries_of(planner, cell("LUMBER", "BODY")) == few
