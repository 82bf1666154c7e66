"""Is a gauge that was found bad out of use, and is all that it measured at hand?"""

from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client

from tests import desk, make
from tests.desk import main_of
from travelers.floor.models import Hold, Reading
from travelers.floor.rules import Wish
from travelers.kit.refusals import Refused
from travelers.orders.models import Part
from travelers.quality.models import Contained, Containment
from travelers.shop.actions import (
    decide_overdue_gauges,
    find_gauge_bad,
    put_gauge_back,
)
from travelers.shop.models import Gauge, GaugeFault
from travelers.shop.rules import OverdueGauges

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@pytest.fixture
def gauge(shop: make.Shop) -> Gauge:
    return shop.cast.gauges["caliper"]


def send(client: Client, shop: make.Shop, url: str, **said: object) -> Any:
    with time_machine.travel(shop.now, tick=False):
        return client.post(url, said, follow=True)


def found_bad(shop: make.Shop, gauge: Gauge, **said: Any) -> GaugeFault:
    told = {"good_until_on": date(2026, 1, 5), "reason": "dropped", "by": shop.cast.qa}
    return find_gauge_bad(tag=gauge.tag, at=shop.now, **told | said)


def put_back(shop: make.Shop, gauge: Gauge, **said: Any) -> Gauge:
    day = shop.now.date()
    told = {"calibrated_on": day, "due_on": day + timedelta(days=90)}
    return put_gauge_back(tag=gauge.tag, by=shop.cast.qa, at=shop.now, **told | said)


def measured(shop: make.Shop) -> Part:
    """Give a body that was measured with the caliper."""
    body = shop.part(shop.instrument())
    shop.work(body, until="Machine")
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    shop.check(step)
    return body


def test_one_press_takes_it_out_and_shows_what_it_measured(
    shop: make.Shop, gauge: Gauge
) -> None:
    body, qa = measured(shop), desk.client(shop, "qa")
    assert Reading.objects.filter(gauge=gauge, event__part=body).exists()
    page = f"/quality/gauges/{gauge.tag}/"
    offered = main_of(qa.get(page))
    assert f'value="{gauge.calibrated_on.isoformat()}"' in offered
    answer = send(
        qa, shop, f"{page}bad/", good_until_on=gauge.calibrated_on, reason="dropped"
    )
    assert answer.redirect_chain[-1][0] == f"/quality/trace/gauge/{gauge.tag}/"
    text = main_of(answer)
    assert "Found bad and out of use." in text
    assert body.instrument.serial in text
    assert "finished, may have left" in text
    assert 'value="caliper: dropped"' in text
    fault = GaugeFault.objects.get()
    assert (fault.found_by, fault.good_until_on) == (shop.cast.qa, gauge.calibrated_on)
    # All of it is held by the form that is there, in one go.
    form = desk.client(shop, "qa").get(answer.redirect_chain[-1][0])
    deed = main_of(form).split('name="uuid" value="')[1].split('"')[0]
    send(
        qa, shop, "/quality/contained/", uuid=deed, kind="gauge", key=gauge.tag,
        since=gauge.calibrated_on, reason="caliper: dropped",
    )  # fmt: skip
    assert Containment.objects.get().reason == "caliper: dropped"
    assert Contained.objects.get(part=body).hold_id == Hold.objects.get().event.event_id


def test_what_it_measured_before_it_was_last_good_is_not_in_doubt(
    shop: make.Shop, gauge: Gauge
) -> None:
    body = measured(shop)
    shop.later(days=2)
    found_bad(shop, gauge, good_until_on=shop.now.date())
    text = main_of(desk.client(shop, "qa").get(f"/quality/trace/gauge/{gauge.tag}/"))
    assert "No instrument has any of it." in text
    assert body.instrument.serial not in text


def test_a_bad_gauge_measures_no_more(shop: make.Shop, gauge: Gauge) -> None:
    body = shop.part(shop.instrument())
    shop.work(body, until="Machine")
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    check = step.operation.characteristics.get(code="POCKET")
    row = {"check": check.pk, "place": 1, "value": "56.0", "gauge": gauge.pk}
    found_bad(shop, gauge)
    refused = shop.scan(Wish.READ, body, step=step, readings=[row])
    assert refused.refusal
    assert refused.refusal.code == "floor.gauge_found_bad"
    decide_overdue_gauges(decision=OverdueGauges.MARK, by=shop.cast.qa, at=shop.now)
    assert shop.scan(Wish.READ, body, step=step, readings=[row]).accepted
    assert Reading.objects.filter(in_calibration=False).count() == 1
    put_back(shop, gauge)
    assert shop.scan(Wish.READ, body, step=step, readings=[row]).accepted
    assert Reading.objects.filter(in_calibration=False).count() == 1


def test_at_a_station_its_label_is_refused(shop: make.Shop, gauge: Gauge) -> None:
    def scan() -> str:
        with time_machine.travel(shop.now, tick=False):
            answer = desk.client(shop, "joiner").get(
                "/station/SAW/", {"code": gauge.tag, "scanned": "1"}
            )
        return desk.text_of(answer)

    found_bad(shop, gauge)
    assert "floor.gauge_found_bad" in scan()
    decide_overdue_gauges(decision=OverdueGauges.MARK, by=shop.cast.qa, at=shop.now)
    assert "found bad: what it reads is marked." in scan()


def test_a_bad_meter_reads_no_wood(shop: make.Shop) -> None:
    wood = shop.plank_set()
    found_bad(shop, shop.cast.gauges["meter"])
    with pytest.raises(Refused) as said:
        shop.read_wood(wood, *["8"] * wood.pieces.count())
    assert said.value.refusal.code == "lumber.meter_bad"


def test_it_comes_back_with_a_calibration(shop: make.Shop, gauge: Gauge) -> None:
    found_bad(shop, gauge)
    qa, page = desk.client(shop, "qa"), f"/quality/gauges/{gauge.tag}/"
    assert "Found bad and out of use" in main_of(qa.get(page))
    day = shop.now.date()
    answer = send(
        qa, shop, f"{page}back/", calibrated_on=day, due_on=day + timedelta(days=9)
    )
    assert "The gauge is back in use." in main_of(answer)
    gauge.refresh_from_db()
    assert (gauge.calibrated_on, gauge.bad_since) == (day, None)
    fault = GaugeFault.objects.get()
    assert (fault.ended_at, fault.ended_by) == (shop.now, shop.cast.qa)
    # What was found once is kept, and it may be found again.
    found_bad(shop, gauge, good_until_on=day)
    assert GaugeFault.objects.count() == 2


def test_what_cannot_be_is_refused(shop: make.Shop, gauge: Gauge) -> None:
    day, late = shop.now.date(), timedelta(days=1)
    for deed, said, code in (
        (put_back, {}, "shop.gauge_not_bad"),
        (found_bad, {"good_until_on": day + late}, "shop.gauge_good_later"),
        (found_bad, {"by": shop.cast.lead}, "kit.not_your_role"),
        (found_bad, {}, ""),
        (found_bad, {}, "shop.gauge_bad_already"),
        (put_back, {"calibrated_on": day - late}, "shop.gauge_dates_cannot_be"),
        (put_back, {"calibrated_on": day + late}, "shop.gauge_dates_cannot_be"),
        (put_back, {"due_on": day}, "shop.gauge_dates_cannot_be"),
    ):
        if not code:
            deed(shop, gauge, **said)
            continue
        with pytest.raises(Refused) as refused:
            deed(shop, gauge, **said)
        assert refused.value.refusal.code == code
    with pytest.raises(Refused):
        find_gauge_bad(
            tag="G9", good_until_on=day, reason="x", by=shop.cast.qa, at=shop.now
        )
