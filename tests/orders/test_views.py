"""Can a planner make an order, give it wood and release it, and others only read?"""

import pytest
from django.test import Client
from django.utils import timezone

from tests import make
from tests.desk import (
    allotted,
    client,
    main_of,
    page_of,
    queries_of,
    released,
    sets,
    text_of,
)
from travelers.floor.rules import Wish
from travelers.orders.models import Allotment, Instrument, WorkOrder
from travelers.routes.models import Finish, InstrumentModel

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def asked(**other: str) -> dict[str, str]:
    model = InstrumentModel.objects.get(code="WREN")
    return {
        "number": "26-201",
        "what": f"{model.pk}:Tide Green",
        "quantity": "4",
        "due_on": "2026-09-01",
        "priority": "5",
        "note": "lighter bodies first",
    } | other


@pytest.fixture
def planner(shop: make.Shop) -> Client:
    return client(shop, "planner")


def test_an_order_is_made(shop: make.Shop, planner: Client) -> None:
    answer = planner.post("/orders/new/", asked(), follow=True)
    page = page_of(answer)
    assert (page.number, page.quantity, page.finish) == ("26-201", 4, "Tide Green")
    assert page.made_by == "Planner Cast"
    assert page.lacking.code == "orders.wood_missing"
    assert [wood.lacks for wood in page.wood] == [4, 4]


@pytest.mark.twice
@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("number", "26 201", "no spaces"),
        ("number", "new", "at least one digit"),
        ("what", "", "This field is required."),
        ("what", "1:Gold", "Select a valid choice"),
        ("quantity", "0", "more than 0"),
        ("quantity", "501", "at most 500"),
        ("quantity", "a few", "Type a number alone"),
        ("due_on", "soon", "Enter a valid date."),
        ("priority", "10", "at most 9"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stays(
    planner: Client, field: str, value: str, words: str
) -> None:
    typed = asked(**{field: value})
    answer = planner.post("/orders/new/", typed)
    assert answer.status_code == 422
    form = answer.context["form"]
    assert set(form.errors) == {field}
    assert words in text_of(answer)
    for name in typed:
        assert form[name].value() == typed[name]
    assert not WorkOrder.objects.exists()


@pytest.mark.twice
def test_a_number_that_is_taken_is_said_at_the_field(
    shop: make.Shop, planner: Client
) -> None:
    number = shop.order().number
    answer = planner.post("/orders/new/", asked(number=number))
    assert answer.status_code == 422
    assert f"There is an order {number} already." in text_of(answer)


def test_models_are_offered_with_their_own_finishes(
    shop: make.Shop, planner: Client
) -> None:
    Finish.objects.create(model=shop.model, name="Fog White")
    InstrumentModel.objects.create(
        code="PLOVER",
        name="Plover",
        shape="solid",
        serial_prefix="P",
        scale_mm=640,
        strings=6,
        frets=22,
    )
    (model,) = page_of(planner.get("/orders/new/"))
    assert (model.name, model.finishes) == ("Wren", ("Fog White", "Tide Green"))


def test_wood_is_chosen_given_and_taken_back(shop: make.Shop, planner: Client) -> None:
    order = shop.order(2)
    one, two, three = sets(shop, "BODY", 3)
    url = f"/orders/{order.number}/"
    body, neck = page_of(planner.get(url)).wood
    assert [seen.id for seen in body.suiting] == [one.pk, two.pk, three.pk]
    assert (body.at_hand, neck.at_hand) == (2, 0)
    # A plank of 288 kg in 20 × 0.40 × 0.06 m; its pieces are not weighed yet.
    assert round(body.suiting[0].density_kg_m3) == 600
    assert not body.suiting[0].weighed
    planner.post(f"{url}allot/", {"set": [one.pk, three.pk]})
    body, _ = page_of(planner.get(url)).wood
    assert [given.set.id for given in body.given] == [one.pk, three.pk]
    assert body.suiting == ()
    planner.post(f"{url}take-back/", {"set": one.pk})
    body, _ = page_of(planner.get(url)).wood
    assert [(given.position, given.set.id) for given in body.given] == [(2, three.pk)]
    assert [seen.id for seen in body.suiting] == [one.pk, two.pk]


@pytest.mark.twice
def test_the_first_that_suit_are_given_at_once(
    shop: make.Shop, planner: Client
) -> None:
    order = shop.order(3)
    chosen = sets(shop, "BODY", 5)
    url = f"/orders/{order.number}/"
    answer = planner.post(f"{url}allot/", {"first": "BODY"}, follow=True)
    assert "3 sets are allotted." in text_of(answer)
    given = page_of(answer).wood[0].given
    assert [one.set.id for one in given] == [one.pk for one in chosen[:3]]
    assert planner.post(f"{url}allot/", {"first": "CASE"}).status_code == 422
    assert planner.post(f"{url}allot/", {"set": "9" * 30}).status_code == 422


def test_a_set_of_another_order_is_refused_and_none_is_given(
    shop: make.Shop, planner: Client
) -> None:
    first, second = shop.order(1), shop.order(2)
    one, two = sets(shop, "BODY", 2)
    planner.post(f"/orders/{first.number}/allot/", {"set": two.pk})
    answer = planner.post(f"/orders/{second.number}/allot/", {"set": [one.pk, two.pk]})
    assert answer.status_code == 409
    assert f"is allotted to order {first.number} already" in text_of(answer)
    assert Allotment.objects.count() == 1


def test_an_order_is_released_once_its_wood_is_there(
    shop: make.Shop, planner: Client
) -> None:
    order = shop.order(2)
    url = f"/orders/{order.number}/"
    refused = planner.post(f"{url}release/")
    assert refused.status_code == 409
    assert "needs 2 more body sets" in text_of(refused)
    assert "disabled" in main_of(planner.get(url))
    order = allotted(shop, 2)
    answer = planner.post(f"/orders/{order.number}/release/", follow=True)
    assert "2 instruments are on the floor." in text_of(answer)
    page = page_of(answer)
    assert page.released_by == "Planner Cast"
    assert [row.serial for row in page.instruments] == ["W00001", "W00002"]
    again = planner.post(f"/orders/{order.number}/release/")
    assert again.status_code == 409
    assert "was released by Planner Cast" in text_of(again)
    assert Instrument.objects.count() == 2


@pytest.mark.twice
@pytest.mark.parametrize("who", ["lead", "qa", "engineer"])
def test_who_plans_nothing_reads_only(shop: make.Shop, who: str) -> None:
    order = allotted(shop, 1)
    reader = client(shop, who)
    url = f"/orders/{order.number}/"
    assert not page_of(reader.get("/orders/")).may_write
    answer = reader.get(url)
    assert "<button" not in main_of(answer)
    given = Allotment.objects.filter(branch="BODY").get().plank_set_id
    assert reader.get("/orders/new/").status_code == 403
    for path, typed in (
        ("/orders/new/", asked()),
        (f"{url}allot/", {"first": "BODY"}),
        (f"{url}take-back/", {"set": given}),
        (f"{url}release/", {}),
    ):
        assert reader.post(path, typed).status_code == 403
    assert (Allotment.objects.count(), Instrument.objects.count()) == (2, 0)


def test_a_bench_reads_no_orders(shop: make.Shop) -> None:
    order = shop.order()
    joiner = client(shop, "joiner")
    assert joiner.get("/orders/").status_code == 403
    assert joiner.get(f"/orders/{order.number}/").status_code == 403


def test_an_order_that_is_not_there_says_so(planner: Client) -> None:
    assert planner.get("/orders/NO1/").status_code == 404
    for verb in ("allot", "take-back", "release"):
        assert planner.post(f"/orders/NO1/{verb}/").status_code == 404


@pytest.mark.twice
def test_orders_are_listed_by_how_far_they_are(
    shop: make.Shop, planner: Client
) -> None:
    waiting = shop.order()
    late = shop.order()
    WorkOrder.objects.filter(pk=late.pk).update(due_on=shop.now.date())
    (instrument,) = released(shop, 1)
    page = page_of(planner.get("/orders/"))
    assert [row.number for row in page.waiting] == [late.number, waiting.number]
    assert [row.is_late for row in page.waiting] == [True, _past(waiting)]
    (row,) = page.on_floor
    assert (row.finished, dict(row.looks)) == (0, {"WAITING": 3})
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(instrument, branch))
    page = page_of(planner.get("/orders/"))
    assert page.on_floor == ()
    (row,) = page.finished
    assert (row.finished, row.is_late, row.looks) == (1, False, ())


def _past(order: WorkOrder) -> bool:
    return order.due_on < timezone.localdate()


def test_instruments_say_where_each_part_is(shop: make.Shop, planner: Client) -> None:
    first, second = released(shop, 2)
    body = shop.part(first)
    shop.work(body, until="Dry")
    step = shop.step_of(body)
    shop.must(Wish.LOAD, step)
    shop.scan(
        Wish.HOLD,
        shop.part(second, "NECK"),
        by="qa",
        at="FRETS",
        reason="twist",
        only_part=True,
    )
    page = page_of(planner.get(f"/orders/{first.order.number}/"))
    told = {
        row.serial: (row.look, [(part.look, part.stage) for part in row.parts])
        for row in page.instruments
    }
    assert told[first.serial] == (
        "DWELLING",
        [
            ("DWELLING", "Drying"),
            ("WAITING", "Lumber"),
            ("WAITING", "Assembly"),
            (None, ""),
        ],
    )
    assert told[second.serial][0] == "HELD"
    dots = [dot.look for dot in page.instruments[0].dots if dot.strand == "BODY"]
    assert dots == ["DONE", "DWELLING"] + 7 * ["TO_COME"]


def test_a_spark_is_all_thick_when_the_instrument_is_finished(
    shop: make.Shop, planner: Client
) -> None:
    (instrument,) = released(shop, 1)
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(instrument, branch))
    page = page_of(planner.get(f"/orders/{instrument.order.number}/"))
    (row,) = page.instruments
    assert row.look == "DONE"
    assert {dot.look for dot in row.dots} == {"DONE"}
    assert (page.finished, page.scrapped) == (1, 0)


def count(asking: Client, *urls: str) -> list[int]:
    return [queries_of(asking, url) for url in urls]


def test_more_orders_and_instruments_ask_no_more_of_the_database(
    shop: make.Shop, planner: Client
) -> None:
    few = [released(shop, 5)[0].order.number, allotted(shop, 5).number]
    for _ in range(2):
        shop.order()
    before = count(planner, "/orders/", *(f"/orders/{number}/" for number in few))
    many = [released(shop, 50)[0].order.number, allotted(shop, 50).number]
    for _ in range(45):
        shop.order()
    after = count(planner, "/orders/", *(f"/orders/{number}/" for number in many))
    assert after == before


@pytest.mark.twice
def test_a_long_order_is_read_in_leaves(shop: make.Shop, planner: Client) -> None:
    number = released(shop, 101)[0].order.number
    first = page_of(planner.get(f"/orders/{number}/"))
    assert (len(first.instruments), first.leaf.of, first.leaf.next) == (100, 2, 2)
    answer = planner.get(f"/orders/{number}/?leaf=2")
    assert [row.serial for row in page_of(answer).instruments] == ["W00101"]
    assert 'href="?leaf=1"' in text_of(answer)
    for odd in ("0", "-1", "x", "99999999999"):
        assert planner.get(f"/orders/{number}/?leaf={odd}").status_code == 200
