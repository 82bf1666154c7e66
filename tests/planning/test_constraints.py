"""Do the tables of planning refuse what cannot be?"""

from datetime import date, timedelta

import pytest

from tests import make
from tests.constraints import change, copy, names_of, refuses
from travelers.planning.actions import keep_what_if
from travelers.planning.models import Counted, DayCount, Forecast, WhatIf
from travelers.shop.models import Stage

pytestmark = pytest.mark.django_db


def row() -> DayCount:
    return DayCount.objects.get()


BREAKS = {
    "day_count_once_a_place": lambda: [copy(row())],
    "day_count_branch_known": lambda: [change(row(), branch="LEG")],
    "day_count_part_of_whole": lambda: [
        change(row(), entered=3),
        change(row(), left=2),
    ],
    "day_count_went_no_more_than_lay": lambda: [change(row(), came=9)],
    "day_count_is_something": lambda: [
        change(row(), came=0, entered=0, went=0, left=0, lay=0)
    ],
    "counted_is_one_row": lambda: [lambda: Counted.objects.create(pk=2)],
    "forecast_has_futures": lambda: [change(Forecast.objects.get(), futures=0)],
    "forecast_digest_is_one": lambda: [
        change(Forecast.objects.get(), digest=wrong) for wrong in ("", "g" * 64)
    ],
    "forecast_once_a_day": lambda: [
        copy(
            Forecast.objects.get(),
            made_at=Forecast.objects.get().made_at + timedelta(hours=1),
        )
    ],
    "what_if_has_a_name": lambda: [change(WhatIf.objects.get(), name="")],
    "what_if_tried_says_what_came": lambda: [
        change(WhatIf.objects.get(), results={}),
        change(WhatIf.objects.get(), tried_at=WhatIf.objects.get().made_at),
    ],
}


def test_each_constraint_is_tried() -> None:
    assert set(BREAKS) == names_of("planning")


@pytest.mark.each
@pytest.mark.parametrize("name", BREAKS)
def test_a_row_that_cannot_be_is_refused(shop: make.Shop, name: str) -> None:
    DayCount.objects.create(
        day=date(2026, 3, 10),
        stage=Stage.objects.earliest("pk"),
        branch="BODY",
        came=2,
        entered=1,
        went=1,
        left=0,
        lay=4,
    )
    Forecast.objects.create(
        made_at=shop.now,
        day=shop.now.date(),
        seed=1,
        futures=1,
        digest="0" * 64,
        results={},
    )
    keep_what_if(name="A", changes={}, by=shop.cast.planner, at=shop.now)
    for write in BREAKS[name]():
        refuses(name, write)
