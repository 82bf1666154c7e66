"""Is what lies on the demo's floor called for as often as it is needed?"""

from collections.abc import Iterator
from datetime import datetime
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests import make
from travelers.demo.actions import planting
from travelers.demo.actions.living import Floor
from travelers.demo.actions.setting_up import Shop
from travelers.demo.rules.agenda import Agenda
from travelers.demo.rules.chances import Chances
from travelers.demo.rules.planting import SHOWS, Bad, Cause
from travelers.demo.rules.tasks import Task
from travelers.floor.models import Reading
from travelers.floor.rules import Wish
from travelers.orders.models import Part

pytestmark = pytest.mark.django_db


def nothing() -> Iterator[datetime | None]:
    yield from ()


def test_a_step_that_is_forgotten_is_carried_anew() -> None:
    """A join waits once more when a part is sent back, and then is ready again."""
    shop = make.shop()
    one = shop.instrument()
    carried: list[tuple[int, Wish]] = []

    def carry(bench: Any, step: Any, line: Any, wish: Wish) -> Any:
        carried.append((step.id, wish))
        return nothing()

    demo = cast(Shop, SimpleNamespace(stations={}))
    floor = Floor(demo, Chances(1), Agenda(shop.now))
    floor.carry = carry
    bench = floor.look_at(part_code=shop.part(one).code)
    whole = list(carried)
    assert {wish for _, wish in whole} == {Wish.START}
    floor.learn(bench)
    assert carried == whole
    step = bench.step(whole[0][0])
    assert step is not None
    line = bench.route.by_id[step.operation_id]
    code = bench.part(step.part_id).code
    floor.forget(
        Task(Wish.START, step, line, bench.instrument_id, code, "SAW", shop.now)
    )
    assert carried == [*whole, whole[0]]


def test_the_can_that_the_first_had_met_is_the_bad_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """In so small a demo as tests can live through nothing is lacquered yet."""
    monkeypatch.setitem(planting.MATERIAL, Bad.LACQUER, "Lacquer")
    shop = make.shop(uses=True)
    first, other, third = (shop.part(one) for one in shop.instruments(3))
    for body, can in ((first, shop.batch("LACQUER")), (other, shop.batch("LACQUER"))):
        shop.work(body, until="Lacquer")
        shop.bring(can, "BOOTH")
        shop.work(body, until="Cure")
    floor = cast(Floor, SimpleNamespace(wood_of=lambda _: None, chances=Chances(1)))
    planted = planting.Planted(floor, Cause(Bad.LACQUER, 1.0))
    told = [planted.defect_of(_seen(one, Bad.LACQUER)) for one in (first, other, third)]
    assert told == ["ORANGE_PEEL", "", ""]


def test_a_gauge_is_bad_for_the_part_that_it_measured(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The spare one is seldom at hand: in a small demo no body met it."""
    shop = make.shop()
    measured, other = (shop.part(one) for one in shop.instruments(2))
    shop.work(measured, until="Lacquer")
    shop.work(other, until="Machine")
    gauge = Reading.objects.filter(event__part=measured).latest("pk").gauge
    monkeypatch.setattr(planting, "spare_gauge", lambda *_: gauge)
    floor = cast(Floor, SimpleNamespace(wood_of=lambda _: None, chances=Chances(1)))
    planted = planting.Planted(floor, Cause(Bad.GAUGE, 1.0))
    told = [planted.defect_of(_seen(one, Bad.GAUGE)) for one in (measured, other)]
    assert told == ["CUP", ""]


def _seen(body: Part, bad: Bad) -> Task:
    (name,) = SHOWS[bad][1]
    line, step = SimpleNamespace(name=name), SimpleNamespace(part_id=body.pk)
    return cast(Task, SimpleNamespace(line=line, step=step))
