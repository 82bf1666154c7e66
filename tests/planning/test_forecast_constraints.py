"""Do the tables of forecasts refuse what cannot be?"""

from datetime import timedelta

import pytest

from tests import make
from tests.constraints import change, copy, refuses
from travelers.planning.actions import keep_what_if
from travelers.planning.models import Forecast, WhatIf

pytestmark = pytest.mark.django_db

BREAKS = {
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


@pytest.fixture(autouse=True)
def _kept() -> None:
    shop = make.shop()
    Forecast.objects.create(
        made_at=shop.now,
        day=shop.now.date(),
        seed=1,
        futures=1,
        digest="0" * 64,
        results={},
    )
    keep_what_if(name="A", changes={}, by=shop.cast.planner, at=shop.now)


def test_every_constraint_is_tried() -> None:
    named = {
        constraint.name
        for model in (Forecast, WhatIf)
        for constraint in model._meta.constraints
    }
    assert set(BREAKS) == named


@pytest.mark.parametrize("name", BREAKS)
def test_a_row_that_cannot_be_is_refused(name: str) -> None:
    for write in BREAKS[name]():
        refuses(name, write)
