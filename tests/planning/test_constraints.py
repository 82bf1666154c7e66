"""Do the tables of planning refuse what cannot be?"""

from datetime import date, timedelta

import pytest

from tests import make
from tests.constraints import change, copy, names_of, refuses
from travelers.planning.actions import keep_what_if
from travelers.planning.models import (
    Counted,
    DayCount,
    Forecast,
    OrderPromise,
    ReleasePlan,
    ReleaseRules,
    WhatIf,
)
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
    "release_rules_are_one_row": lambda: [copy(ReleaseRules.objects.get(), pk=2)],
    "release_rules_certainty_known": lambda: [
        change(ReleaseRules.objects.get(), certainty_pct=90)
    ],
    "release_rules_let_something_in": lambda: [
        change(ReleaseRules.objects.get(), most_in_work=0)
    ],
    "release_plan_has_futures": lambda: [change(ReleasePlan.objects.get(), futures=0)],
    "release_plan_digest_is_one": lambda: [
        change(ReleasePlan.objects.get(), digest="g" * 64)
    ],
    "release_plan_once_a_day": lambda: [
        copy(
            ReleasePlan.objects.get(),
            made_at=ReleasePlan.objects.get().made_at + timedelta(hours=1),
        )
    ],
    "promise_certainty_is_a_share": lambda: [
        change(OrderPromise.objects.get(), certainty_pct=101)
    ],
    "promise_days_are_in_order": lambda: [
        change(OrderPromise.objects.get(), half_on=date(2027, 1, 1)),
        change(OrderPromise.objects.get(), sure_on=date(2025, 1, 1)),
    ],
    "promise_has_futures": lambda: [change(OrderPromise.objects.get(), futures=0)],
    "promise_digest_is_one": lambda: [change(OrderPromise.objects.get(), digest="")],
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
    day, told = shop.now.date(), {"seed": 1, "futures": 1, "digest": "0" * 64}
    ReleaseRules.objects.create(pk=1, set_at=shop.now, set_by=shop.cast.planner)
    ReleasePlan.objects.create(made_at=shop.now, day=day, results={}, **told)
    OrderPromise.objects.create(
        order=shop.order(),
        promised_on=day,
        wished_on=day,
        certainty_pct=80,
        half_on=day,
        usual_on=day,
        sure_on=day,
        asked_at=shop.now,
        made_at=shop.now,
        made_by=shop.cast.planner,
        **told,
    )
    keep_what_if(name="A", changes={}, by=shop.cast.planner, at=shop.now)
    for write in BREAKS[name]():
        refuses(name, write)
