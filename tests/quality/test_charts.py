"""Does a chart show what was measured, settle its limits, and take answers?"""

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from bs4 import BeautifulSoup
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import make
from tests.desk import client
from tests.floor.story import at
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.formulas.control import Rule, individuals
from travelers.kit.refusals import Refused
from travelers.quality import queries
from travelers.quality.actions import Answered, answer_signal, choose_base
from travelers.quality.models import ChartBase, SignalAnswer
from travelers.quality.queries.charts import Asked, ChartPage
from travelers.quality.rules import RULES, WORDS, RuleSet
from travelers.routes.models import Characteristic
from travelers.shop.actions import change_cutter

pytestmark = [pytest.mark.django_db, pytest.mark.once]

ZONE = ZoneInfo("Europe/Madrid")
# The ten flow rates of the NIST/SEMATECH e-Handbook's example of a chart of single
# values, 6.3.2.2 (mean 50.81, mean moving range 1.8778), moved into the pocket's
# tolerance by a scale that keeps all that the chart says.
FLOW = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@pytest.fixture
def pocket(shop: make.Shop) -> Characteristic:
    return Characteristic.objects.get(code="POCKET")


def measure(shop: make.Shop, values: Sequence[float], *, by_day: int = 1) -> list[str]:
    """Let so many bodies be measured, one after another, and give their serials."""
    serials = []
    for value in values:
        one = shop.instrument()
        step = at(shop, shop.part(one), "Machine")
        shop.must(Wish.START, step)
        shop.check(step, POCKET=f"{Decimal(value):.4f}")
        serials.append(one.serial)
        shop.later(days=by_day)
    return serials


def as_pocket(flow: float) -> float:
    return 56 + flow / 500


def page(pocket: Characteristic, **asked: Any) -> ChartPage:
    return queries.chart_page(number=pocket.pk, asked=Asked(**asked), zone=ZONE)


def test_a_chart_has_the_published_limits(
    shop: make.Shop, pocket: Characteristic
) -> None:
    serials = measure(shop, [as_pocket(value) for value in FLOW])
    shown = page(pocket)
    assert [one.serial for one in shown.drawn.parts] == serials
    limits = shown.limits
    assert limits.center == pytest.approx(as_pocket(50.81), abs=1e-4)
    # E2 of two neighbours is 3 / 1.128; the mean moving range of the ten is 1.8778.
    assert limits.upper == pytest.approx(as_pocket(50.81 + 2.66 * 1.8778), abs=1e-4)
    assert limits.lower == pytest.approx(as_pocket(50.81 - 2.66 * 1.8778), abs=1e-4)
    assert (limits.least, limits.most) == (56.05, 56.2)
    assert len(shown.spread_points) == 9
    assert shown.signals == ()


@pytest.mark.twice
def test_what_was_measured_again_counts_once_as_it_was_last(
    shop: make.Shop, pocket: Characteristic
) -> None:
    (serial,) = measure(shop, [56.11])
    step = at(shop, shop.part(shop.instrument()), "Machine")
    shop.must(Wish.START, step)
    shop.check(step, POCKET="56.1900")
    shop.check(step, POCKET="56.1200")
    shop.later(minutes=1)
    shown = page(pocket)
    assert [one.values for one in shown.drawn.parts] == [(56.11,), (56.12,)]
    assert shown.drawn.parts[0].serial == serial
    undone = Event.objects.filter(kind="READ").order_by("-seq")[0]
    assert undone.step_id
    shop.must(Wish.UNDO, step, event=str(undone.event_id))
    assert page(pocket).drawn.parts[1].values == (56.19,)


def test_limits_of_a_settled_time_find_what_came_after(
    shop: make.Shop, pocket: Characteristic
) -> None:
    calm = [56.10, 56.11, 56.10, 56.12, 56.11, 56.10, 56.12, 56.11]
    first = shop.now.date()
    measure(shop, calm)
    last = shop.now.date() - timedelta(days=1)
    measure(shop, [56.18])
    by, now = shop.cast.qa, shop.now
    choose_base(number=pocket.pk, since=first, until=last, by=by, at=now, zone=ZONE)
    shown = page(pocket, rules=RuleSet.LIMITS)
    alone = individuals(calm)
    assert shown.limits.upper == pytest.approx(alone.upper)
    assert shown.drawn.is_based
    (signal,) = shown.signals
    assert (signal.value, signal.rules) == (56.18, (Rule.NELSON_1,))
    assert shown.points[-1].rules == "1"
    assert shown.open_signals == 1


@pytest.mark.twice
def test_a_base_of_few_is_refused(shop: make.Shop, pocket: Characteristic) -> None:
    day = shop.now.date()
    measure(shop, [56.10, 56.12])
    with pytest.raises(Refused) as fault:
        choose_base(
            number=pocket.pk,
            since=day,
            until=day,
            by=shop.cast.qa,
            at=shop.now,
            zone=ZONE,
        )
    assert fault.value.refusal.code == "quality.base_too_short"
    with pytest.raises(Refused, match="your_role"):
        choose_base(
            number=pocket.pk,
            since=day,
            until=day,
            by=shop.cast.lead,
            at=shop.now,
            zone=ZONE,
        )
    assert not ChartBase.objects.exists()


def odd(shop: make.Shop, pocket: Characteristic) -> UUID:
    """Let one body be far off, and give the event that it was measured in."""
    measure(shop, [56.10, 56.11, 56.10, 56.11, 56.10, 56.11, 56.10, 56.11, 56.19])
    (signal,) = page(pocket, rules=RuleSet.LIMITS).signals
    return signal.event_id


@pytest.mark.twice
def test_a_signal_is_answered_once_with_cause_and_action(
    shop: make.Shop, pocket: Characteristic
) -> None:
    event_id = odd(shop, pocket)

    def answer(cause: str, action: str, by: str = "qa") -> SignalAnswer:
        return answer_signal(
            number=pocket.pk,
            answered=Answered(event_id, (Rule.NELSON_1,), cause, action),
            by=shop.cast.people[by],
            at=shop.now,
        )

    with pytest.raises(Refused) as fault:
        answer("worn cutter", "  ")
    assert fault.value.refusal.code == "quality.answer_missing"
    with pytest.raises(Refused, match="your_role"):
        answer("worn cutter", "changed", by="joiner")
    answer("worn cutter", "changed it", by="lead")
    with pytest.raises(Refused) as fault:
        answer("dust", "swept")
    assert fault.value.refusal.code == "quality.signal_answered"
    shown = page(pocket, rules=RuleSet.LIMITS)
    assert shown.open_signals == 0
    assert shown.signals[0].answer.cause == "worn cutter"


def test_each_rule_has_words_and_each_set_its_rules() -> None:
    assert set(WORDS) == set(Rule)
    assert len(RULES[RuleSet.NELSON]) == 8
    assert len(RULES[RuleSet.WESTERN_ELECTRIC]) == 4


def test_values_are_told_apart_by_the_cutter_that_ran(
    shop: make.Shop, pocket: Characteristic
) -> None:
    first = measure(shop, [as_pocket(value) for value in FLOW[:4]])
    for number in ("C-1", "C-2"):
        change_cutter(
            station_id=shop.cast.stations["CUTTER"].pk,
            head="top",
            number=number,
            life_parts=9,
            by=shop.cast.joiner,
            at=shop.later(hours=1),
        )
        last = measure(shop, [as_pocket(value) for value in FLOW[4:8]])
    shown = page(pocket)
    assert shown.choices["cutter"] == ("C-1", "C-2")
    (by_cutter,) = [one for one in shown.groups if one.by == "cutter"]
    assert [(row.name, row.count) for row in by_cutter.rows] == [
        ("", len(first)),
        ("C-1", 4),
        ("C-2", 4),
    ]
    one = page(pocket, cutter="C-2").drawn.parts
    assert [part.serial for part in one] == last


def test_values_are_asked_for_by_station_gauge_and_species(
    shop: make.Shop, pocket: Characteristic
) -> None:
    measure(shop, [56.10, 56.12, 56.11])
    shown = page(pocket)
    assert set(shown.choices) == {"station", "gauge", "cutter", "species"}
    (gauge,) = shown.choices["gauge"]
    assert page(pocket, gauge=gauge).drawn.parts == shown.drawn.parts
    assert page(pocket, gauge="none such").drawn is None


def test_capability_is_said_from_twenty_values_on(
    shop: make.Shop, pocket: Characteristic
) -> None:
    values = [56.10 + 0.01 * ((n * 7) % 5) for n in range(20)]
    measure(shop, values[:19])
    assert page(pocket).capability is None
    measure(shop, values[19:])
    shown = page(pocket).capability
    assert shown.count == 20
    assert shown.intervals.cpk.low < shown.cpk < shown.intervals.cpk.high


def test_the_page_draws_links_and_words(
    shop: make.Shop, pocket: Characteristic
) -> None:
    event_id = odd(shop, pocket)
    qa = client(shop, "qa")
    rows = BeautifulSoup(qa.get("/quality/charts/").content, "html.parser")
    assert "Pocket width" in rows.get_text()
    address = f"/quality/charts/{pocket.pk}/"
    shown = BeautifulSoup(qa.get(address, {"rules": "LIMITS"}).content, "html.parser")
    dots = shown.select("svg.control a[href^='/instruments/'], svg.control a")
    assert len(dots) == 9
    assert len(shown.select("svg.control .control-signal")) >= 1
    assert "1 waits for an answer" in shown.get_text()
    said = {"event_id": str(event_id), "rules": ["nelson_1"]}
    wrong = qa.post(f"{address}answer/", said | {"cause": "", "action": ""})
    assert wrong.status_code == 422
    done = qa.post(
        f"{address}answer/", said | {"cause": "chip", "action": "cleaned"}, follow=True
    )
    assert "The signal is answered" in done.content.decode()
    assert "chip" in done.content.decode()


def test_a_time_is_settled_on_the_page(shop: make.Shop, pocket: Characteristic) -> None:
    first = shop.now.date()
    measure(shop, [56.10, 56.11, 56.10, 56.12, 56.11, 56.10, 56.12, 56.11])
    qa = client(shop, "qa")
    address = f"/quality/charts/{pocket.pk}/base/"
    for said in (
        {"since": "x", "until": "2026-01-01"},
        {"since": "2026-05-02", "until": "2026-05-01"},
        {"since": "2020-01-01", "until": "2020-02-01"},
    ):
        assert qa.post(address, said).status_code == 422
    done = qa.post(
        address,
        {"since": first.isoformat(), "until": shop.now.date().isoformat()},
        follow=True,
    )
    assert "The limits are made of that time" in done.content.decode()
    assert f"chosen by {shop.cast.qa}" in done.content.decode()


@pytest.mark.twice
def test_places_are_charted_by_their_means_and_judged_by_weeks(
    shop: make.Shop,
) -> None:
    one = shop.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS"):
        shop.work(shop.part(one, branch))
    shop.work(shop.part(one, "ASSEMBLY"))
    for row in Characteristic.objects.all():
        shown = queries.chart_page(number=row.pk, asked=Asked(), zone=ZONE)
        assert shown.series.places == row.places
        # One part alone makes no chart, and says so.
        assert shown.drawn is None
        assert client(shop, "qa").get(f"/quality/charts/{row.pk}/").status_code == 200


def test_no_page_asks_more_for_more(shop: make.Shop, pocket: Characteristic) -> None:
    qa = client(shop, "qa")

    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            qa.get(f"/quality/charts/{pocket.pk}/")
        return len(seen)

    measure(shop, [56.10, 56.12])
    few = asked()
    measure(shop, [56.10, 56.13, 56.12])
    assert asked() == few


def test_a_characteristic_that_is_none_is_said_so(shop: make.Shop) -> None:
    assert client(shop, "qa").get("/quality/charts/99999/").status_code == 404
