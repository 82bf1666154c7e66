"""Does an order get its wood once, and is it released whole or not at all?"""

from datetime import date
from typing import Any

import pytest

from tests import make
from tests.desk import allotted, sets
from travelers.formulas import codes
from travelers.kit.refusals import Refused
from travelers.lumber.actions import Cut, cut_set
from travelers.lumber.models import Plank
from travelers.lumber.rules import Purpose
from travelers.orders.actions import (
    allot,
    allot_sets,
    make_order,
    release_order,
    take_back,
)
from travelers.orders.actions import release as releasing
from travelers.orders.models import Allotment, Instrument, Part, Step, WorkOrder
from travelers.routes.models import InstrumentModel
from travelers.shop.models import Counter

pytestmark = pytest.mark.django_db


def refused(code: str, call, **given) -> dict[str, str]:
    with pytest.raises(Refused) as no:
        call(**given)
    assert no.value.refusal.code == code
    return dict(no.value.refusal.words)


def release(shop: make.Shop, order: WorkOrder) -> list[Instrument]:
    return release_order(order_id=order.pk, by=shop.cast.planner, at=shop.now)


def test_an_order_number_is_taken_once(shop: make.Shop) -> None:
    shop.order()
    shop.orders = 0
    refused("orders.number_taken", shop.order)
    assert WorkOrder.objects.count() == 1


def test_a_model_without_a_released_route_is_not_ordered(shop: make.Shop) -> None:
    other = InstrumentModel.objects.create(
        code="PLOVER",
        name="Plover",
        shape="solid",
        serial_prefix="P",
        scale_mm=640,
        strings=6,
        frets=22,
    )
    refused(
        "orders.no_released_route",
        make_order,
        number="P1",
        model_id=other.pk,
        finish="none",
        quantity=1,
        due_on=date(2026, 9, 1),
        by=shop.cast.planner,
        at=shop.now,
    )


def test_sets_go_to_the_instruments_that_lack_one(shop: make.Shop) -> None:
    order = shop.order(3)
    one, two, three, four = sets(shop, "BODY", 4)
    allot_sets(order_id=order.pk, plank_set_ids=[one.pk, two.pk, three.pk])
    take_back(order_id=order.pk, plank_set_id=two.pk)
    given = allot(order_id=order.pk, plank_set_id=four.pk)
    assert given.position == 2
    assert [row.plank_set_id for row in order.allotments.order_by("position")] == [
        one.pk,
        four.pk,
        three.pk,
    ]


def test_several_sets_are_allotted_or_none(shop: make.Shop) -> None:
    first, second = shop.order(2), shop.order(2)
    one, two, three = sets(shop, "BODY", 3)
    allot(order_id=first.pk, plank_set_id=two.pk)
    told = refused(
        "orders.set_taken",
        allot_sets,
        order_id=second.pk,
        plank_set_ids=[one.pk, two.pk],
    )
    assert told["order"] == first.number
    refused(
        "orders.enough_wood",
        allot_sets,
        order_id=first.pk,
        plank_set_ids=[one.pk, three.pk],
    )
    assert Allotment.objects.count() == 1


def test_a_set_named_twice_is_allotted_once(shop: make.Shop) -> None:
    order = shop.order(2)
    (one,) = sets(shop, "BODY", 1)
    allot_sets(order_id=order.pk, plank_set_ids=[one.pk, one.pk])
    assert Allotment.objects.count() == 1


def test_nothing_chosen_and_a_set_that_is_not_there_are_refused(
    shop: make.Shop,
) -> None:
    order = shop.order()
    refused("orders.nothing_chosen", allot_sets, order_id=order.pk, plank_set_ids=[])
    refused("kit.not_found", allot, order_id=order.pk, plank_set_id=987654)


def test_a_set_of_the_wrong_pieces_does_not_suit(shop: make.Shop) -> None:
    order = shop.order()
    shop.plank_set()
    three = cut_set(
        plank_id=Plank.objects.get().pk,
        purpose=Purpose.BODY,
        cut=Cut(3, *map(make.Decimal, (500, 60, 50))),
        cut_on=date(2026, 1, 8),
    )
    told = refused(
        "orders.set_does_not_suit", allot, order_id=order.pk, plank_set_id=three.pk
    )
    assert (told["pieces"], told["needed"]) == ("3", "2")


def test_an_order_without_all_its_wood_is_not_released(shop: make.Shop) -> None:
    order = shop.order(2)
    allot_sets(
        order_id=order.pk, plank_set_ids=[one.pk for one in sets(shop, "BODY", 2)]
    )
    allot(order_id=order.pk, plank_set_id=sets(shop, "NECK", 1)[0].pk)
    told = refused("orders.wood_missing", release, shop=shop, order=order)
    assert (told["branch_word"], told["missing"]) == ("NECK", "1")
    assert not Instrument.objects.exists()


def test_a_release_makes_instruments_parts_tags_and_steps(shop: make.Shop) -> None:
    order = allotted(shop, 2)
    made = release(shop, order)
    assert [one.serial for one in made] == ["W00001", "W00002"]
    order.refresh_from_db()
    assert (order.released_at, order.released_by) == (shop.now, shop.cast.planner)
    parts = list(Part.objects.order_by("id"))
    assert len(parts) == 8
    assert all(codes.is_right(part.code) for part in parts)
    for part in parts:
        promised = Allotment.objects.filter(
            order=order, branch=part.branch, position=part.instrument.position
        ).first()
        assert part.plank_set_id == (promised.plank_set_id if promised else None)
    # Thirteen operations, one of them three times, for each of the two.
    assert Step.objects.count() == 2 * 15
    ready = Step.objects.filter(state="READY").values_list(
        "part__branch", "operation__number"
    )
    assert sorted(ready) == sorted(
        2 * [("BODY", 10), ("ELECTRONICS", 10), ("NECK", 10)]
    )


def test_a_released_order_is_not_released_again_nor_its_wood_moved(
    shop: make.Shop,
) -> None:
    order = allotted(shop, 1)
    release(shop, order)
    given = order.allotments.first()
    for call, more in (
        (release_order, {"by": shop.cast.planner, "at": shop.now}),
        (take_back, {"plank_set_id": given.plank_set_id}),
        (allot, {"plank_set_id": given.plank_set_id}),
    ):
        told = refused("orders.already_released", call, order_id=order.pk, **more)
        assert told["person"] == "Planner Cast"
    assert Instrument.objects.count() == 1


@pytest.mark.parametrize("step", ["_make_instruments", "_make_parts", "steps_of"])
def test_a_failure_in_the_middle_leaves_nothing(
    shop: make.Shop, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """Whatever is written last before the lights go out, nothing of it stays."""
    order = allotted(shop, 2)
    before = counted(order)
    done = getattr(releasing, step)

    def fail(*given: Any) -> Any:
        result = done(*given)
        if step == "_steps_of":
            result = list(result)
            Step.objects.bulk_create(result)
        raise OSError("the power went")

    monkeypatch.setattr(releasing, step, fail)
    with pytest.raises(OSError, match="the power went"):
        release(shop, order)
    assert counted(order) == before
    monkeypatch.undo()
    assert [one.serial for one in release(shop, order)] == ["W00001", "W00002"]


def counted(order: WorkOrder) -> tuple[Any, ...]:
    order.refresh_from_db()
    return (
        order.released_at,
        Instrument.objects.count(),
        Part.objects.count(),
        Step.objects.count(),
        list(
            Counter.objects.exclude(series__in=["code K", "code S", "code W"])
            .order_by("series")
            .values_list("series", "last")
        ),
    )
