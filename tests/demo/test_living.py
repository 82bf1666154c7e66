"""Is what lies on the demo's floor called for as often as it is needed?"""

from collections.abc import Iterator
from datetime import datetime
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tests import make
from travelers.demo.actions.living import Floor
from travelers.demo.actions.setting_up import Shop
from travelers.demo.rules.agenda import Agenda
from travelers.demo.rules.chances import Chances
from travelers.demo.rules.tasks import Task
from travelers.floor.rules import Wish

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
