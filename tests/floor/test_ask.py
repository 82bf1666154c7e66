"""Is the lead asked, heard of at the bench, and let in at another's tablet?"""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from tests import make
from tests.cast import PASSWORD, TOKEN
from tests.floor.story import allow, at, code_of
from tests.floor.tablet import Tablet, fields
from travelers.floor import queries
from travelers.floor.models import Event
from travelers.floor.queries import Wanted
from travelers.floor.rules import Notes, Wish
from travelers.orders.models import Part, Step
from travelers.shop.sessions import TABLET_COOKIE

pytestmark = pytest.mark.django_db
NOT_HERE = "floor.not_here"
OUT = "floor.out_of_tolerance"


def ask(shop: make.Shop, step: Step, gate: str = NOT_HERE, **how: Any) -> Any:
    how = {"at": "BOOTH"} | how
    return shop.scan(Wish.ASK, step.part, step=step, gate=gate, **how)


def waits(shop: make.Shop) -> list[tuple[str, str]]:
    return [(one.wanted, one.gate) for one in queries.waiting(at=shop.now)]


def measured_outside(shop: make.Shop, body: Part) -> Step:
    step = at(shop, body, "Machine")
    shop.must(Wish.START, step)
    shop.must(Wish.READ, step, readings=[shop.reading(step, "57", "caliper")])
    return step


# --- Asking


def test_what_is_asked_is_kept_with_the_sentence_that_stood_there(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Saw")
    asked = ask(shop, step)
    assert asked.accepted
    event = Event.objects.get(event_id=asked.event_id)
    assert event.data == {
        "gate": NOT_HERE,
        "about": {"operation": "Saw", "place": "Saw"},
    }
    (one,) = queries.waiting(at=shop.now)
    assert (one.wanted, one.serial, one.branch, one.operation, one.by, one.at) == (
        Wanted.ASKED,
        body.instrument.serial,
        "BODY",
        "Saw",
        "Joiner Cast",
        shop.now,
    )
    assert one.refusal
    assert one.refusal.words == {"operation": "Saw", "place": "Saw"}


def test_what_only_a_press_met_is_told_as_it_was_refused(
    shop: make.Shop, body: Part
) -> None:
    """An overdue gauge stands in the way of a reading, not of the button."""
    step = at(shop, body, "Machine")
    shop.must(Wish.START, step)
    gate = "floor.gauge_overdue"
    assert code_of(ask(shop, step, gate)) == "floor.not_askable"
    old = [shop.reading(step, "56.10", "old caliper")]
    assert code_of(shop.scan(Wish.READ, body, step=step, readings=old)) == gate
    assert ask(shop, step, gate).accepted
    (one,) = queries.waiting(at=shop.now)
    assert one.refusal
    assert one.refusal.words["gauge"] == "old caliper"


@pytest.mark.parametrize(
    ("gate", "code"),
    [
        ("floor.held", "floor.not_let_pass"),
        ("nonsense", "floor.not_let_pass"),
        ("floor.no_room", "floor.not_askable"),
        (NOT_HERE, "floor.asked_already"),
    ],
)
def test_what_cannot_be_asked(
    shop: make.Shop, body: Part, gate: str, code: str
) -> None:
    step = at(shop, body, "Saw")
    assert ask(shop, step).accepted
    assert code_of(ask(shop, step, gate)) == code


def test_a_no_needs_a_lead_and_a_reason(shop: make.Shop, body: Part) -> None:
    step = at(shop, body, "Saw")
    ask(shop, step)
    told = {"step": step, "gate": NOT_HERE}
    assert code_of(shop.scan(Wish.DECLINE, body, reason="no", **told)) == (
        "floor.may_not"
    )
    empty = shop.scan(Wish.DECLINE, body, by="lead", reason=" ", **told)
    assert code_of(empty) == "floor.reason_missing"
    other = {"step": step, "gate": "floor.held", "reason": "no"}
    assert code_of(shop.scan(Wish.DECLINE, body, by="lead", **other)) == (
        "floor.not_let_pass"
    )
    assert waits(shop) == [("ASKED", NOT_HERE)]
    assert shop.scan(Wish.DECLINE, body, by="qa", reason="no", **told).accepted
    assert waits(shop) == []


ASK, YES, NO = (
    (Wish.ASK, {"gate": "g"}, "a", 1),
    (Wish.ALLOW, {"gate": "g", "reason": "y"}, "y", 2),
    (Wish.DECLINE, {"gate": "g", "reason": "n"}, "n", 2),
)
MOVED = (Wish.START, {"state": "RUNNING"}, "s", 1)
USED = (Wish.READ, {"readings": [], "passed": ["g"]}, "r", 1)
# What was said, and then: which gates are asked about, declined, let pass.
SAID: tuple[tuple[list[Any], set[str], set[str], set[str]], ...] = (
    ([ASK], {"g"}, set(), set()),
    ([ASK, YES], set(), set(), {"g"}),
    ([ASK, NO], set(), {"g"}, set()),
    ([ASK, NO, ASK], {"g"}, set(), set()),
    ([ASK, NO, YES], set(), set(), {"g"}),
    ([NO], set(), {"g"}, set()),
    ([ASK, MOVED], set(), set(), set()),
    ([NO, MOVED], set(), set(), set()),
    ([YES, MOVED], set(), set(), {"g"}),
    ([ASK, YES, USED], set(), set(), set()),
)


@pytest.mark.parametrize(("events", "asked", "declined", "passes"), SAID)
def test_what_stands_of_questions_and_answers(
    events: list[Any], asked: set[str], declined: set[str], passes: set[str]
) -> None:
    notes = Notes.of(events)
    got = set(notes.asked), set(notes.declined), set(notes.passes)
    assert got == (asked, declined, passes)


# --- What waits


def test_a_question_falls_away_when_the_step_goes_on(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Saw")
    ask(shop, step)
    shop.must(Wish.START, step)
    assert waits(shop) == []


def test_a_reading_outside_waits_until_somebody_does_something(
    shop: make.Shop, body: Part
) -> None:
    step = measured_outside(shop, body)
    assert waits(shop) == [("OUTSIDE", OUT)]
    asked = ask(shop, step, OUT, at="CUTTER")
    assert asked.accepted
    # What was asked is not listed twice.
    assert waits(shop) == [("ASKED", OUT)]
    allow(shop, step, OUT)
    assert waits(shop) == []


def test_a_reading_that_was_measured_again_or_taken_back_waits_no_more(
    shop: make.Shop, body: Part
) -> None:
    step = measured_outside(shop, body)
    good = shop.must(Wish.READ, step, readings=[shop.reading(step, "56.10", "caliper")])
    assert waits(shop) == []
    shop.must(Wish.UNDO, step, event=str(good.event_id))
    assert waits(shop) == [("OUTSIDE", OUT)]


def test_a_hold_waits_after_a_day(shop: make.Shop, body: Part) -> None:
    shop.scan(Wish.HOLD, body, reason="knot", only_part=True)
    shop.later(hours=23)
    assert waits(shop) == []
    shop.later(hours=1)
    (one,) = queries.waiting(at=shop.now)
    assert (one.wanted, one.reason, one.branch) == (Wanted.OLD_HOLD, "knot", "BODY")


def test_what_came_late_and_was_refused_waits_while_the_step_is_at_hand(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Saw")
    shop.later(hours=2)
    late = shop.now - timedelta(hours=1)
    refused = shop.scan(Wish.FINISH, body, step=step, when=late)
    assert code_of(refused) == "floor.not_now"
    (one,) = queries.waiting(at=shop.now)
    assert (one.wanted, one.at) == (Wanted.CAME_LATE, late)
    shop.must(Wish.START, step)
    assert waits(shop) == []


def test_what_the_bench_could_not_take_back_waits_once(
    shop: make.Shop, body: Part
) -> None:
    taken = shop.must(Wish.START, at(shop, body, "Saw"))
    step = at(shop, body, "Saw")
    shop.later(minutes=20)
    for _ in range(2):
        shop.scan(Wish.UNDO, body, step=step, event=str(taken.event_id))
    (one,) = queries.waiting(at=shop.now)
    assert (one.wanted, one.target) == (Wanted.TAKE_BACK, str(taken.event_id))
    shop.scan(
        Wish.UNDO, body, step=step, by="lead", event=str(taken.event_id), reason="yes"
    )
    assert waits(shop) == []
    shop.must(Wish.START, step)
    shop.later(days=8)
    assert waits(shop) == []


# --- The station's screen


def test_the_bench_is_told_that_it_was_asked_and_looks_for_the_answer(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "BOOTH").scan(body).wish("ASK")
    assert tablet.status == 200
    assert "The lead was asked, 10 Mar 2026, 09:30." in tablet.text
    poll = tablet.form("#scene > [hx-trigger='every 4s']")["hx-get"]
    # Nothing new, nothing said; so too while others only work elsewhere.
    assert tablet.open(str(poll)).status == 204
    shop.must(Wish.START, at(shop, shop.part(shop.instrument()), "Saw"))
    assert tablet.open(str(poll)).status == 204
    step = at(shop, body, "Saw")
    allow(shop, step, NOT_HERE)
    tablet.open(str(poll))
    assert tablet.status == 200
    assert tablet.text.startswith("It may go on, once: seen by me")
    assert tablet.buttons["Start"]
    assert not tablet.page.select("[hx-trigger='every 4s']")


def test_a_no_is_said_with_who_and_why_and_may_be_asked_again(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "BOOTH").scan(body).wish("ASK")
    poll = str(tablet.form("#scene > [hx-trigger='every 4s']")["hx-get"])
    lead = Tablet(shop, "BOOTH", by="lead").scan(body)
    form = lead.form("form.pass")
    assert lead.submit(form, wish="DECLINE", reason="carry it over").status == 200
    tablet.open(poll)
    assert tablet.text.startswith("Lead Cast says no: carry it over")
    assert tablet.wish("ASK").status == 200


def test_while_a_check_is_on_the_screen_it_keeps_there(
    shop: make.Shop, body: Part
) -> None:
    step = measured_outside(shop, body)
    check = step.operation.characteristics.get()
    shown = f"?code={body.code}&step={step.pk}&check={check.pk}&place=1"
    tablet = Tablet(shop, "CUTTER").open(shown)
    # No check has a form in its form: the page's own parser would drop it.
    assert not tablet.page.select("form form")
    answer = tablet.submit(tablet.form("form#ask"))
    assert answer.status == 200
    tablet.open(shown)
    assert "The lead was asked" in tablet.text
    assert not tablet.page.select("form#ask")


def lead_here(tablet: Tablet, **typed: str) -> Tablet:
    return tablet.submit(tablet.form(".lead-here form"), **typed)


def saw_tablet(shop: make.Shop) -> Tablet:
    tablet = Tablet(shop, "SAW")
    tablet.client.cookies[TABLET_COOKIE] = TOKEN
    return tablet


def test_the_lead_answers_at_the_operators_tablet(shop: make.Shop) -> None:
    neck = shop.part(shop.instrument(), "NECK")
    at(shop, neck, "Fret")
    tablet = saw_tablet(shop).scan(neck)
    lead_here(tablet, reason="frets is full", number="lead", pin=PASSWORD)
    assert tablet.status == 200
    assert tablet.text.startswith("It may go on, once.")
    # The lead's press is not the operator's to take back.
    assert "takes back: let pass" not in tablet.text
    event = Event.objects.get(kind="ALLOW")
    assert (event.person, event.station) == (
        shop.cast.lead,
        shop.cast.stations["SAW"],
    )
    assert str(tablet.form("#person").get_text()).strip() == "Joiner Cast"
    assert tablet.wish("START").status == 200
    assert Event.objects.latest("seq").allowed_by == shop.cast.lead


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ({"number": "lead", "pin": "wrong"}, "shop.not_known"),
        ({"number": "nobody", "pin": PASSWORD}, "shop.not_known"),
        ({"badge": "P0000000"}, "shop.not_known"),
        ({}, "shop.not_known"),
        ({"number": "joiner", "pin": PASSWORD}, "floor.may_not"),
    ],
)
def test_nobody_else_lets_pass_there(
    shop: make.Shop, typed: dict[str, str], code: str
) -> None:
    neck = shop.part(shop.instrument(), "NECK")
    at(shop, neck, "Fret")
    tablet = lead_here(saw_tablet(shop).scan(neck), reason="frets is full", **typed)
    assert tablet.status == 403
    assert code in tablet.text
    assert not Event.objects.filter(kind="ALLOW", accepted=True).exists()
    if code == "shop.not_known":
        kept = fields(tablet.form(".lead-here form"))
        assert (kept["reason"], kept["pin"]) == ("frets is full", "")


def test_a_browser_that_is_no_tablet_of_the_shop_has_no_such_form(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "BOOTH").scan(body)
    assert not tablet.page.select(".lead-here")
    step = at(shop, body, "Saw")
    sent = {
        "event_id": str(uuid4()),
        "wish": "ALLOW",
        "step": str(step.pk),
        "gate": NOT_HERE,
        "reason": "me",
        "number": "lead",
        "pin": PASSWORD,
    }
    answer = tablet.client.post("/station/BOOTH/answer/", sent)
    assert answer.status_code == 403
    assert not Event.objects.filter(kind="ALLOW").exists()
