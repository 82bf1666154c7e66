"""The README's pictures: the demo's board, a part at a station, an instrument.

They are taken into the test results; with PICTURES=1 also into ``docs/pictures``, so
that running the tests leaves the tree as it was.
"""

import os
import shutil
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from django.utils import timezone
from PIL import Image

from tests.browser.conftest import Tablet
from travelers.demo.actions import load_demo
from travelers.orders.models import Instrument, Step
from travelers.shop.models import Person

KEPT = Path(__file__).resolve().parents[2] / "docs" / "pictures"
FEWEST_COLOURS = 50


@pytest.fixture
def signed_in(
    transactional_db: None, tablet: Callable[..., Tablet]
) -> Callable[[str], Tablet]:
    load_demo(seed=7, instruments=90, now=_at_work())

    def as_person(name: str) -> Tablet:
        one = tablet()
        one.enter(Person.objects.get(username=name))
        return one

    return as_person


def _at_work() -> datetime:
    """Give the middle of the last working morning: the picture shows a shop at work."""
    morning = timezone.localtime().replace(hour=10, minute=40) - timedelta(days=1)
    return morning - timedelta(days=max(0, morning.isoweekday() - 5))


def test_the_readme_shows_what_there_is(signed_in: Callable[[str], Tablet]) -> None:
    planner, operator = signed_in("pia"), signed_in("marta")
    planner.go("/board/")
    _keep(planner, "board")
    step = (
        Step.objects.filter(
            state="READY",
            operation__characteristics__isnull=False,
            operation__cautions__isnull=False,
            station__attended=True,
            part__held_at__isnull=True,
            instrument__held_at__isnull=True,
        )
        .order_by("-operation__shortest_dwell_s", "pk")
        .first()
    )
    assert step
    assert step.station
    operator.go(f"/station/{step.station.code}/?code={step.part.code}")
    _keep(operator, "station")
    instrument = (
        Instrument.objects.filter(steps__turn__gt=0, state="OPEN")
        .order_by("pk")
        .first()
    )
    assert instrument
    planner.go(f"/instrument/{instrument.serial}/")
    _keep(planner, "instrument")


def _keep(tablet: Tablet, name: str) -> None:
    path = tablet.picture(f"readme-{name}")
    with Image.open(path) as picture:
        colours = picture.convert("RGB").getcolors(maxcolors=2**24)
    assert colours is not None
    assert len(colours) > FEWEST_COLOURS
    if os.environ.get("PICTURES"):
        KEPT.mkdir(parents=True, exist_ok=True)
        shutil.copy(path, KEPT / f"{name}.png")
