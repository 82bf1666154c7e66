"""Does each gate of the route stop a part that must not pass, and only that?"""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from tests import make
from tests.floor.story import allow, at, code_of
from travelers.floor.models import Event, Reading
from travelers.floor.rules import Wish
from travelers.orders.models import Part, Step
from travelers.shop.actions import decide_overdue_gauges
from travelers.shop.rules import OverdueGauges

pytestmark = pytest.mark.django_db


def test_what_dries_comes_out_when_its_time_is_over(
    shop: make.Shop, body: Part
) -> None:
    dry = at(shop, body, "Dry")
    shop.must(Wish.LOAD, dry)
    loaded_at = shop.now
    shop.check(dry)
    for span in (timedelta(0), timedelta(days=9, hours=23, minutes=59)):
        shop.now = loaded_at + span
        verdict = shop.scan(Wish.TAKE_OUT, body, step=dry)
        assert verdict.refusal
        assert verdict.refusal.code == "floor.still_dwelling"
        out_at = (loaded_at + timedelta(days=10)).isoformat()
        assert verdict.refusal.words == {"operation": "Dry", "until_at": out_at}
    shop.now = loaded_at + timedelta(days=10)
    assert shop.scan(Wish.TAKE_OUT, body, step=dry).accepted
    dry.refresh_from_db()
    assert (dry.state, dry.finished_at) == ("DONE", shop.now)


def test_what_is_glued_lies_in_the_clamps_for_three_hours(
    shop: make.Shop, body: Part
) -> None:
    glue = at(shop, body, "Glue")
    shop.must(Wish.START, glue)
    shop.mate(glue)
    shop.must(Wish.FINISH, glue)
    finished_at = shop.now
    glue.refresh_from_db()
    assert (glue.state, glue.dwell_until) == (
        "DWELLING",
        finished_at + timedelta(hours=3),
    )
    shop.later(hours=2, minutes=59)
    assert code_of(shop.scan(Wish.TAKE_OUT, body)) == "floor.still_dwelling"
    shop.later(minutes=1)
    assert shop.scan(Wish.TAKE_OUT, body).accepted


def test_a_dried_body_that_lay_too_long_is_not_glued(
    shop: make.Shop, body: Part
) -> None:
    glue = at(shop, body, "Glue")
    shop.later(days=4, minutes=1)
    assert code_of(shop.scan(Wish.START, body)) == "floor.too_long_since"
    assert allow(shop, glue, "floor.too_long_since").accepted
    verdict = shop.scan(Wish.START, body)
    assert verdict.accepted
    event = Event.objects.get(pk=verdict.seq)
    assert (event.allowed_by, event.allowed_reason) == (shop.cast.lead, "seen by me")
    assert event.data["passed"] == ["floor.too_long_since"]


def test_it_may_be_glued_at_the_last_moment(shop: make.Shop, body: Part) -> None:
    at(shop, body, "Glue")
    shop.later(days=4)
    assert shop.scan(Wish.START, body).accepted


def test_a_coat_comes_not_too_soon_and_not_too_late_after_the_last(
    shop: make.Shop, body: Part
) -> None:
    first = at(shop, body, "Lacquer")
    assert first.repeat == 1
    shop.later(days=30)
    shop.must(Wish.START, first)
    shop.must(Wish.FINISH, first)
    dry_at = shop.now
    answers = {}
    for hours in (0, 3.99, 48.01):
        shop.now = dry_at + timedelta(hours=hours)
        answers[hours] = code_of(shop.scan(Wish.START, body))
    assert answers == {
        0: "floor.too_soon",
        3.99: "floor.too_soon",
        48.01: "floor.too_long_since",
    }
    shop.now = dry_at + timedelta(hours=4)
    assert shop.scan(Wish.START, body).accepted
    second = shop.step_of(body)
    assert second
    assert (second.operation.name, second.repeat) == ("Lacquer", 2)


def test_the_answer_names_the_coat(shop: make.Shop, body: Part) -> None:
    first = at(shop, body, "Lacquer")
    shop.do(first)
    verdict = shop.scan(Wish.START, body)
    assert verdict.refusal
    assert verdict.refusal.words["operation"] == "Lacquer 2/3"


def dried(shop: make.Shop, body: Part) -> Step:
    """Give the drying step of a body whose time in the room is over."""
    dry = at(shop, body, "Dry")
    shop.must(Wish.LOAD, dry)
    shop.later(days=10)
    return dry


def test_without_its_check_nothing_comes_out(shop: make.Shop, body: Part) -> None:
    dry = dried(shop, body)
    verdict = shop.scan(Wish.TAKE_OUT, body, step=dry)
    assert verdict.refusal
    assert verdict.refusal.code == "floor.check_missing"
    assert verdict.refusal.words == {"checks": "Moisture"}


def test_every_place_of_a_check_is_wanted(shop: make.Shop, body: Part) -> None:
    neck = shop.part(body.instrument, "NECK")
    fret = at(shop, neck, "Fret")
    shop.must(Wish.START, fret)
    for place in (1, 3):
        reading = {**shop.reading(fret, "1.20"), "place": place}
        shop.must(Wish.READ, fret, readings=[reading])
    verdict = shop.scan(Wish.FINISH, neck)
    assert verdict.refusal
    assert verdict.refusal.words == {"checks": "Fret height (fret 2)"}


def test_too_wet_a_body_passes_once_and_only_with_a_name_and_a_reason(
    shop: make.Shop, body: Part
) -> None:
    dry = dried(shop, body)
    shop.must(Wish.READ, dry, readings=[shop.reading(dry, "9.4", "meter")])
    verdict = shop.scan(Wish.TAKE_OUT, body, step=dry)
    assert verdict.refusal
    assert verdict.refusal.code == "floor.out_of_tolerance"
    assert verdict.refusal.words == {"checks": "Moisture 9.4 %"}
    assert code_of(allow(shop, dry, "floor.out_of_tolerance", "joiner")) == (
        "floor.may_not"
    )
    for reason in ("", "   "):
        verdict = shop.scan(
            Wish.ALLOW, body, step=dry, by="lead", gate="floor.x", reason=reason
        )
        assert code_of(verdict) == "floor.reason_missing"
    assert code_of(shop.scan(Wish.TAKE_OUT, body, step=dry)) == (
        "floor.out_of_tolerance"
    )
    assert allow(shop, dry, "floor.out_of_tolerance").accepted
    verdict = shop.scan(Wish.TAKE_OUT, body, step=dry)
    assert verdict.accepted
    assert verdict.allowed_by_id == shop.cast.lead.pk
    event = Event.objects.get(pk=verdict.seq)
    assert (event.person, event.allowed_by, event.allowed_reason) == (
        shop.cast.joiner,
        shop.cast.lead,
        "seen by me",
    )


def test_what_was_let_pass_is_used_up(shop: make.Shop, body: Part) -> None:
    """The lead lets the start pass at another saw; the end needs another word."""
    step = at(shop, body, "Saw")
    assert allow(shop, step, "floor.not_here").accepted
    assert shop.scan(Wish.START, body, step=step, at="BENCH").accepted
    assert code_of(shop.scan(Wish.FINISH, body, step=step, at="BENCH")) == (
        "floor.not_here"
    )


def test_what_was_let_pass_and_not_needed_waits(shop: make.Shop, body: Part) -> None:
    step = at(shop, body, "Saw")
    assert allow(shop, step, "floor.not_here").accepted
    assert shop.scan(Wish.START, body, step=step).accepted
    verdict = shop.scan(Wish.FINISH, body, step=step, at="BENCH")
    assert (verdict.accepted, verdict.allowed_by_id) == (True, shop.cast.lead.pk)


def test_a_word_for_one_step_is_not_one_for_the_next(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Saw")
    assert allow(shop, step, "floor.not_here").accepted
    shop.do(step)
    dry = at(shop, body, "Dry")
    verdict = shop.scan(Wish.LOAD, body, step=dry, at="BENCH")
    assert code_of(verdict) == "floor.not_here"


@pytest.mark.parametrize("gate", ["floor.held", "floor.wrong_mate", "no.such", ""])
def test_some_gates_nobody_lets_pass(shop: make.Shop, body: Part, gate: str) -> None:
    step = at(shop, body, "Saw")
    assert code_of(allow(shop, step, gate, "qa")) == "floor.not_let_pass"


def test_a_better_reading_heals(shop: make.Shop, body: Part) -> None:
    dry = dried(shop, body)
    shop.must(Wish.READ, dry, readings=[shop.reading(dry, "9.4", "meter")])
    shop.later(days=3)
    shop.must(Wish.READ, dry, readings=[shop.reading(dry, "6.6", "meter")])
    assert shop.scan(Wish.TAKE_OUT, body, step=dry).accepted
    assert list(Reading.objects.order_by("pk").values_list("verdict", flat=True)) == [
        "HIGH",
        "INSIDE",
    ]


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        ("56.04", "LOW"),
        ("56.05", "INSIDE"),
        ("56.20", "INSIDE"),
        ("56.2001", "HIGH"),
        ("-1", "LOW"),
    ],
)
def test_a_reading_is_kept_with_unit_verdict_and_gauge(
    shop: make.Shop, body: Part, value: str, verdict: str
) -> None:
    machine = at(shop, body, "Machine")
    shop.must(Wish.START, machine)
    shop.must(Wish.READ, machine, readings=[shop.reading(machine, value, "caliper")])
    row = Reading.objects.latest("pk")
    assert (row.value, row.unit, row.verdict) == (Decimal(value), "mm", verdict)
    assert (row.gauge, row.in_calibration) == (shop.cast.gauges["caliper"], True)
    assert (row.characteristic.code, row.place) == ("POCKET", 1)


@pytest.mark.parametrize(("value", "ok"), [("1", True), ("0", False)])
def test_what_is_judged_is_good_or_not(
    shop: make.Shop, body: Part, value: str, ok: bool
) -> None:
    inspect = at(shop, body, "Inspect body")
    shop.must(Wish.START, inspect)
    shop.must(Wish.READ, inspect, readings=[shop.reading(inspect, value)])
    verdict = shop.scan(Wish.FINISH, body)
    assert code_of(verdict) == ("" if ok else "floor.out_of_tolerance")


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"gauge": None}, "floor.gauge_missing"),
        ({"gauge": 10**6}, "floor.gauge_missing"),
        ({"gauge": "meter"}, "floor.gauge_other_kind"),
        ({"gauge": "old caliper"}, "floor.gauge_overdue"),
        ({"place": 0}, "floor.not_a_check"),
        ({"place": 2}, "floor.not_a_check"),
        ({"check": 10**6}, "floor.not_a_check"),
    ],
)
def test_a_reading_that_cannot_count_is_refused(
    shop: make.Shop, body: Part, change: dict[str, Any], code: str
) -> None:
    machine = at(shop, body, "Machine")
    shop.must(Wish.START, machine)
    reading = {**shop.reading(machine, "56.10", "caliper"), **change}
    if isinstance(reading["gauge"], str):
        reading["gauge"] = shop.cast.gauges[reading["gauge"]].pk
    before = Reading.objects.count()
    assert code_of(shop.scan(Wish.READ, body, readings=[reading])) == code
    assert Reading.objects.count() == before


def test_a_reading_with_an_overdue_gauge_says_so_for_ever(
    shop: make.Shop, body: Part
) -> None:
    machine = at(shop, body, "Machine")
    shop.must(Wish.START, machine)
    assert allow(shop, machine, "floor.gauge_overdue").accepted
    reading = shop.reading(machine, "56.10", "old caliper")
    shop.must(Wish.READ, machine, readings=[reading])
    row = Reading.objects.latest("pk")
    assert (row.gauge, row.in_calibration) == (shop.cast.gauges["old caliper"], False)
    assert row.event.allowed_by == shop.cast.lead


def test_where_the_house_only_marks_it_an_overdue_gauge_is_taken(
    shop: make.Shop, body: Part
) -> None:
    machine = at(shop, body, "Machine")
    shop.must(Wish.START, machine)
    reading = shop.reading(machine, "56.10", "old caliper")
    assert code_of(shop.scan(Wish.READ, body, readings=[reading])) == (
        "floor.gauge_overdue"
    )
    decide(shop, OverdueGauges.MARK)
    shop.must(Wish.READ, machine, readings=[reading])
    row = Reading.objects.latest("pk")
    assert (row.gauge, row.in_calibration) == (shop.cast.gauges["old caliper"], False)
    assert row.event.allowed_by is None
    decide(shop, OverdueGauges.REFUSE)
    assert code_of(shop.scan(Wish.READ, body, readings=[reading])) == (
        "floor.gauge_overdue"
    )
    wrong = {**reading, "gauge": shop.cast.gauges["meter"].pk}
    verdict = shop.scan(Wish.READ, body, readings=[wrong])
    assert code_of(verdict) == "floor.gauge_other_kind"
    assert verdict.refusal.words == {
        "gauge": "meter",
        "kind": "moisture meter",
        "check": "Pocket width",
        "wanted": "caliper",
    }


def decide(shop: make.Shop, decision: OverdueGauges) -> None:
    decide_overdue_gauges(decision=decision, by=shop.cast.qa, at=shop.now)


def test_a_gauge_is_good_on_the_day_it_is_due(shop: make.Shop, body: Part) -> None:
    machine = at(shop, body, "Machine")
    shop.must(Wish.START, machine)
    gauge = shop.cast.gauges["caliper"]
    reading = shop.reading(machine, "56.10", "caliper")
    gauge.due_on = shop.now.date()
    gauge.save(update_fields=["due_on"])
    assert shop.scan(Wish.READ, body, readings=[reading]).accepted
    shop.later(days=1)
    assert code_of(shop.scan(Wish.READ, body, readings=[reading])) == (
        "floor.gauge_overdue"
    )
