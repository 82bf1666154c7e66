"""Do the orders' tables refuse what cannot be?"""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from tests import make
from tests.constraints import change, copy, names_of, refuses
from travelers.orders.models import Allotment, Instrument, Part, Step, WorkOrder

pytestmark = pytest.mark.django_db

BREAKS = {
    "order_quantity_1_to_500": lambda at: [
        change(WorkOrder.objects.get(), quantity=quantity) for quantity in (0, 501)
    ],
    "order_priority_1_to_9": lambda at: [
        change(WorkOrder.objects.get(), priority=priority) for priority in (0, 10)
    ],
    "order_release_has_who_and_when": lambda at: [
        change(WorkOrder.objects.get(), released_by=None),
        change(WorkOrder.objects.get(), released_at=None),
    ],
    "allotment_once_a_place_and_turn": lambda at: [
        change(Allotment.objects.get(branch="BODY", position=2), position=1)
    ],
    "allotment_is_of_wood": lambda at: [
        change(Allotment.objects.get(branch="BODY", position=2), **columns)
        for columns in ({"branch": "ELECTRONICS"}, {"position": 0})
    ],
    "instrument_place_once_an_order": lambda at: [
        change(Instrument.objects.get(position=2), position=1)
    ],
    "instrument_closed_has_when": lambda at: [
        change(Instrument.objects.get(position=1), state="FINISHED"),
        change(Instrument.objects.get(position=1), closed_at=at),
        change(Instrument.objects.get(position=1), state="LOST", closed_at=at),
    ],
    "part_in_use_once_a_branch": lambda at: [
        copy(first("BODY"), code="P9999999", plank_set_id=None)
    ],
    "part_scrapped_is_nowhere": lambda at: [change(first("BODY"), scrapped_at=at)],
    "part_wants_wood_or_has_it": lambda at: [change(first("BODY"), wants_wood=True)],
    "part_branch_known": lambda at: [change(first("BODY"), branch="CASE")],
    "part_place_is_whole": lambda at: [
        change(first("BODY"), **{column: None}) for column in ("stage", "look", "since")
    ],
    "step_position_once_a_part": lambda at: [
        change(first("BODY").steps.get(operation__number=20), position=1000)
    ],
    "step_state_known": lambda at: [change(Step.objects.first(), state="GONE")],
    "step_done_has_when": lambda at: [
        change(first("BODY").steps.get(operation__number=10), state="DONE")
    ],
    "step_dwelling_has_until": lambda at: [
        change(first("BODY").steps.get(operation__number=20), state="DWELLING")
    ],
}


def first(branch: str) -> Part:
    return Part.objects.get(instrument__position=1, branch=branch)


def test_every_constraint_is_tried() -> None:
    assert set(BREAKS) == names_of("orders")


@pytest.mark.each
@pytest.mark.parametrize("name", BREAKS)
def test_a_row_that_cannot_be_is_refused(shop: make.Shop, name: str) -> None:
    shop.instruments(2)
    for write in BREAKS[name](shop.now):
        refuses(name, write)


def test_a_set_is_promised_once_and_becomes_one_part(shop: make.Shop) -> None:
    shop.instruments(2)
    promised = Allotment.objects.get(branch="BODY", position=1)
    for write in (
        change(
            Allotment.objects.get(branch="BODY", position=2),
            plank_set=promised.plank_set_id,
        ),
        change(
            Part.objects.get(instrument__position=2, branch="BODY"),
            plank_set=promised.plank_set_id,
        ),
    ):
        with pytest.raises(IntegrityError, match=r"plank_set_id"), transaction.atomic():
            write()


def test_what_just_holds_is_taken(shop: make.Shop) -> None:
    instrument = shop.instruments(1)[0]
    change(WorkOrder.objects.get(), quantity=500, priority=9)()
    change(instrument, state="SCRAPPED", closed_at=shop.now)()
    change(first("BODY"), stage=None, look=None, since=None)()
    step = first("BODY").steps.get(operation__number=20)
    change(step, state="DWELLING", dwell_until=shop.now + timedelta(days=10))()
    step.refresh_from_db()
    assert step.state == "DWELLING"
