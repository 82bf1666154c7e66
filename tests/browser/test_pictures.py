"""Does the demo's shop fit its tablets, and what does the README show of it?

The demo says at its stations what a shop would say: instructions of several lines, rows
of signs, many checks.  The README's pictures are taken into the test results; with
PICTURES=1 also into ``docs/pictures``, so that running the tests leaves the tree as it
was.
"""

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

import pytest
import time_machine
from django.test import override_settings
from django.utils import timezone
from PIL import Image

from tests.browser import measures
from tests.browser.conftest import SIZES, WANTED, Tablet
from tests.browser.halfway import TEN_YEARS
from tests.browser.test_pages import KEYS
from travelers.demo.actions import load_demo
from travelers.floor.actions import record
from travelers.floor.queries import find_place
from travelers.floor.rules import Wish
from travelers.orders.models import Instrument, Step
from travelers.shop.models import Person

KEPT = Path(__file__).resolve().parents[2] / "docs" / "pictures"
FEWEST_COLOURS = 50
# So many different operations at least wait to be begun, and checks belong to them.
FEWEST_OPERATIONS, FEWEST_CHECKS = 8, 5
# A Wednesday on which the shop works, in the middle of the morning there.
AT_WORK = datetime(2026, 11, 18, 9, 40, tzinfo=UTC)


@pytest.fixture(scope="module")
def demo(db: None) -> Iterator[None]:
    """Lay the demo down as it stands on one and the same morning."""
    load_demo(seed=7, instruments=50, now=AT_WORK)
    signed_in = override_settings(SESSION_COOKIE_AGE=TEN_YEARS)
    with signed_in, time_machine.travel(AT_WORK, tick=True):
        yield


@pytest.fixture
def signed_in(demo: None, tablet: Callable[..., Tablet]) -> Callable[[str], Tablet]:
    def as_person(name: str) -> Tablet:
        one = tablet()
        one.enter(Person.objects.get(username=name))
        return one

    return as_person


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
    path = tablet.shoot(f"readme-{name}")
    with Image.open(path) as picture:
        colours = picture.convert("RGB").getcolors(maxcolors=2**24)
    assert colours is not None
    assert len(colours) > FEWEST_COLOURS
    if WANTED:
        KEPT.mkdir(parents=True, exist_ok=True)
        shutil.copy(path, KEPT / f"{name}.png")


def test_every_operation_of_the_demo_is_begun_and_done_without_scrolling(
    signed_in: Callable[[str], Tablet],
) -> None:
    one, steps, checks = signed_in("marta"), waiting(), 0
    found: list[str] = []
    for step in steps:
        where = f"/station/{step.station.code}/?code={step.part.code}&step={step.pk}"
        found += _faults(one, where, step.operation.name, "button.press-next")
        if not _begin(step):
            continue
        found += _faults(one, where, step.operation.name, ".press-next")
        for check in step.operation.characteristics.all():
            is_judged = check.kind == "JUDGED"
            reach = ".press-good, .press-bad" if is_judged else KEYS
            asked = f"{where}&check={check.pk}&place={check.places}"
            found += _faults(one, asked, f"{step.operation.name}: {check.name}", reach)
            checks += 1
    assert not found, "\n".join(found)
    assert len(steps) >= FEWEST_OPERATIONS
    assert checks >= FEWEST_CHECKS


def waiting() -> list[Step]:
    """Give one free step of each operation that waits to be begun somewhere."""
    rows = Step.objects.filter(
        state="READY",
        station__attended=True,
        part__held_at__isnull=True,
        instrument__held_at__isnull=True,
    ).select_related("operation", "station", "part")
    found: dict[str, Step] = {}
    for row in rows.order_by("pk"):
        found.setdefault(f"{row.operation.branch} {row.operation.name}", row)
    return list(found.values())


def _begin(step: Step) -> bool:
    at = timezone.localtime()
    verdict = record(
        wish=Wish.START,
        step_id=step.pk,
        station=find_place(code=step.station.code),
        person=Person.objects.get(username="marta"),
        event_id=uuid4(),
        at=at,
        heard_at=at,
        data={},
    )
    return verdict.accepted


def _faults(one: Tablet, address: str, what: str, reach: str) -> list[str]:
    one.go(address)
    found = []
    for size in SIZES:
        one.resize(size)
        faults = measures.overflow(one.page) + measures.touch(one.page)
        faults += measures.small_text(one.page)
        for selector in reach.split(", "):
            faults += measures.out_of_reach(one.page, selector)
        found += [f"{size}, {what}: {fault}" for fault in faults]
    return found
