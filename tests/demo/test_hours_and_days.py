"""Do the months of a small demo hang together, hour by hour and day by day?"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import transaction
from django.utils import timezone

from tests.planning import ledger
from travelers.demo.actions import load_demo
from travelers.floor.models import Event
from travelers.orders.models import Instrument, Part, WorkOrder
from travelers.planning.actions import count_days
from travelers.planning.queries import FlowAsked, flow_course, flow_page
from travelers.routes.rules import Branch
from travelers.shop.models import ClosedDay

# A Wednesday on which the shop works, early in the afternoon there.
NOW = datetime(2026, 11, 18, 12, 40, tzinfo=UTC)
pytestmark = pytest.mark.database


@pytest.fixture(scope="module", autouse=True)
def _loaded(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """Load it once; each test takes back what it did."""
    with django_db_blocker.unblock(), transaction.atomic():
        load_demo(seed=3, instruments=6, now=NOW)
        yield
        transaction.set_rollback(True)


@pytest.fixture(autouse=True)
def _taken_back(_loaded: None) -> Iterator[None]:
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def test_work_is_begun_in_the_hours_of_the_shift_only() -> None:
    closed = set(ClosedDay.objects.values_list("day", flat=True))
    begun = Event.objects.filter(kind="START", accepted=True, came_late=False)
    assert begun.count() > 50
    for event in begun.select_related("station__shift"):
        assert event.station
        assert event.station.shift
        at, shift = timezone.localtime(event.happened_at), event.station.shift
        assert str(at.isoweekday()) in shift.weekdays, event.seq
        assert at.date() not in closed, event.seq
        assert shift.starts <= at.time() <= shift.ends, event.seq


def test_nothing_happens_after_now() -> None:
    assert Event.objects.filter(recorded_at__gt=NOW).count() == 0
    assert Event.objects.filter(happened_at__gt=NOW - timedelta(days=1)).exists()
    assert WorkOrder.objects.filter(made_at__gt=NOW).count() == 0


def test_the_scans_of_an_instrument_come_in_their_order() -> None:
    for instrument in Instrument.objects.all():
        moments = instrument.events.order_by("seq").values_list(
            "recorded_at", flat=True
        )
        assert list(moments) == sorted(moments)


def test_each_day_is_counted_as_the_ledger_tells_it() -> None:
    """Months of a shop with rework, swaps and presses that came late."""
    zone = timezone.get_default_timezone()
    today = timezone.localdate(NOW)
    assert count_days(at=NOW, zone=zone) > 100
    last = today - timedelta(days=1)
    assert ledger.differ(ledger.kept(), ledger.recount(last=last, zone=zone)) == []
    asked = FlowAsked(365, None, NOW, zone)
    page = flow_page(asked=asked)
    assert page.course.days[-1].lay == Instrument.objects.filter(state="OPEN").count()
    for branch in Branch:
        shown = flow_course(asked=FlowAsked(365, branch, NOW, zone)).days[-1].lay
        on_board = Part.objects.filter(stage__isnull=False, branch=branch)
        assert shown == on_board.count()
    assert page.little is None or page.little.agrees
