"""Do two that count the days at once leave one count, and the right one?"""

from datetime import timedelta
from functools import partial
from zoneinfo import ZoneInfo

import pytest

from tests import forget, make
from tests.desk import released
from tests.floor.test_races import press, together
from tests.planning import ledger
from tests.planning.test_board import some_days
from travelers.floor.rules import Wish
from travelers.planning.actions import count_days, counting
from travelers.planning.models import Counted, DayCount
from travelers.planning.rules import DAY

pytestmark = pytest.mark.django_db(transaction=True)
ZONE = ZoneInfo("Europe/Berlin")


@pytest.fixture
def shop() -> make.Shop:
    forget.routes()
    return make.shop()


def test_several_at_once_count_once(shop: make.Shop) -> None:
    some_days(shop, released(shop, 3))
    at = shop.later(days=1)
    found = together([partial(count_days, at=at, zone=ZONE)] * 4)
    assert max(found) > 0
    last = at.astimezone(ZONE).date() - DAY
    assert ledger.differ(ledger.kept(), ledger.recount(last=last, zone=ZONE)) == []
    assert Counted.objects.get().until == last
    assert count_days(at=at, zone=ZONE) == 0


def test_who_was_overtaken_counts_again(
    shop: make.Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another writes between the look and the write, and a late press comes with it."""
    body = shop.part(released(shop, 1)[0])
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    when = shop.later(hours=1)
    at = shop.later(days=3)
    kept = counting._keep
    overtaken = list[bool]()

    def keep(**told: object) -> bool:
        if not overtaken:
            overtaken.append(True)
            shop.must(Wish.FINISH, step, when=when)
            assert count_days(at=at, zone=ZONE) == 3
        return kept(**told)

    monkeypatch.setattr(counting, "_keep", keep)
    assert count_days(at=at, zone=ZONE) == 0
    last = at.astimezone(ZONE).date() - DAY
    assert ledger.differ(ledger.kept(), ledger.recount(last=last, zone=ZONE)) == []
    assert Counted.objects.get().times == 1


def test_scans_go_on_while_one_counts(shop: make.Shop) -> None:
    bodies = [shop.part(one) for one in released(shop, 4)]
    steps = [shop.step_of(body) for body in bodies]
    shop.later(days=2)
    at = shop.now
    calls = [partial(press, shop, Wish.START, step, "joiner") for step in steps]
    *answers, _, _ = together([*calls, *[partial(count_days, at=at, zone=ZONE)] * 2])
    assert all(answer.accepted for answer in answers)
    count_days(at=at + timedelta(days=1), zone=ZONE)
    last = at.astimezone(ZONE).date()
    assert ledger.differ(ledger.kept(), ledger.recount(last=last, zone=ZONE)) == []
    assert DayCount.objects.exists()
