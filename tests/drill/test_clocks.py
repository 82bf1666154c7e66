"""Are times of lying and resting right to the second when the clocks are changed?

The hours that a clock shows are worked out by hand, from when each place changes: at
01:00 UTC on the last Sundays of March and October in the European Union (directive
2000/84/EC), at 02:00 local time on the second Sunday of March and the first of November
in the United States (15 U.S.C. 260a), never in India.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.utils import timezone

from tests import make
from tests.drill import ledger
from tests.floor import story
from tests.floor.tablet import Tablet
from travelers.floor import queries
from travelers.floor.rules import Wish
from travelers.kit.words import span
from travelers.orders.models import Step
from travelers.shop.models import Gauge

pytestmark = pytest.mark.django_db

SECOND = timedelta(seconds=1)


@dataclass(frozen=True)
class Night:
    """A zone, half past midnight of a day, and what clocks show 3 and 4 h later."""

    zone: str
    day: date
    after_three: str
    after_four: str

    @property
    def begins(self) -> datetime:
        """Give half past midnight as the clock there shows it."""
        day = self.day
        return datetime(day.year, day.month, day.day, 0, 30, tzinfo=ZoneInfo(self.zone))


NIGHTS = [
    Night("Europe/Berlin", date(2026, 3, 29), "04:30", "05:30"),
    Night("Europe/Berlin", date(2026, 10, 25), "02:30", "03:30"),
    Night("America/New_York", date(2026, 3, 8), "04:30", "05:30"),
    Night("America/New_York", date(2026, 11, 1), "02:30", "03:30"),
    Night("Asia/Kolkata", date(2026, 3, 29), "03:30", "04:30"),
    Night("Europe/Berlin", date(2028, 2, 29), "03:30", "04:30"),
]


def at_night(shop: make.Shop, night: Night, operation: str, days: float) -> Step:
    """Bring a body to an operation on the evening before, and wait for the night."""
    Gauge.objects.update(due_on=date(2099, 1, 1))
    shop.now = night.begins - timedelta(days=days)
    step = story.at(shop, shop.part(shop.instrument()), operation)
    assert shop.now < night.begins
    shop.now = night.begins
    return step


def said_at(shop: make.Shop, station: str, step: Step) -> str:
    """Read what a station says of a part in that night."""
    with time_machine.travel(shop.now, tick=False):
        tablet = Tablet(shop, station)
    return tablet.open(f"?code={step.part.code}").text


@pytest.fixture
def shop() -> make.Shop:
    return make.shop()


@pytest.mark.proof("R17")
@pytest.mark.parametrize("night", NIGHTS, ids=lambda night: f"{night.zone} {night.day}")
def test_r17_what_is_clamped_lies_as_many_seconds_as_it_should(
    shop: make.Shop, night: Night
) -> None:
    """R17: three hours in the clamps, over the hour that is left out or comes twice."""
    step = at_night(shop, night, "Glue", days=12)
    shop.must(Wish.START, step)
    shop.mate(step)
    shop.must(Wish.FINISH, step)
    step.refresh_from_db()
    until = night.begins.astimezone(UTC) + timedelta(hours=3)
    assert step.dwell_until == until
    with timezone.override(night.zone):
        shop.now = until - SECOND
        story.refuse(shop, Wish.TAKE_OUT, step, "floor.still_dwelling")
        assert night.after_three in said_at(shop, "CLAMPS", step)
        place = queries.find_place(code="CLAMPS")
        assert place
        (row,) = queries.idle(place=place, at=shop.now).lying
        assert row.waited == timedelta(hours=3) - SECOND
        assert span(row.waited) == "3 h 0 min"
    shop.now = until
    shop.must(Wish.TAKE_OUT, step)
    step.refresh_from_db()
    assert step.started_at
    assert step.finished_at
    assert step.finished_at - step.started_at == timedelta(hours=3)
    assert ledger.differences() == []


@pytest.mark.proof("R17")
@pytest.mark.parametrize("night", NIGHTS, ids=lambda night: f"{night.zone} {night.day}")
def test_r17_a_coat_rests_as_many_seconds_as_it_should(
    shop: make.Shop, night: Night
) -> None:
    """R17: four hours between coats, and two days at most."""
    first = at_night(shop, night, "Lacquer", days=13)
    shop.must(Wish.START, first)
    shop.must(Wish.FINISH, first)
    second = Step.objects.get(part=first.part, operation=first.operation, repeat=2)
    began = night.begins.astimezone(UTC)
    shop.now = began + timedelta(hours=4) - SECOND
    with timezone.override(night.zone):
        story.refuse(shop, Wish.START, second, "floor.too_soon")
        assert night.after_four in said_at(shop, "BOOTH", second)
    shop.now = began + timedelta(hours=48) + SECOND
    story.refuse(shop, Wish.START, second, "floor.too_long_since")
    shop.now = began + timedelta(hours=48)
    shop.must(Wish.START, second)
    assert ledger.differences() == []


@pytest.mark.proof("R17")
def test_r17_ten_days_over_a_leap_day_are_ten_days(shop: make.Shop) -> None:
    """R17: from 24 February 2028 to 5 March, since that February has 29 days."""
    zone = ZoneInfo("Europe/Berlin")
    Gauge.objects.update(due_on=date(2099, 1, 1))
    shop.now = datetime(2028, 2, 23, 8, 0, tzinfo=zone)
    step = story.at(shop, shop.part(shop.instrument()), "Dry")
    shop.now = datetime(2028, 2, 24, 8, 0, tzinfo=zone)
    shop.must(Wish.LOAD, step)
    step.refresh_from_db()
    assert step.dwell_until == datetime(2028, 3, 5, 7, 0, tzinfo=UTC)
