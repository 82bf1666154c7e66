"""Is all that a tablet kept taken once, judged for its moment, and never lost?"""

import random
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.db import OperationalError
from django.test import Client

from tests import make
from tests.desk import released
from tests.drill.size import sized
from tests.floor import story
from tests.outbox.tablet import Outbox, csrf_of
from travelers.floor.models import Event
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.orders.models import Part, Step
from travelers.outbox import actions
from travelers.outbox.models import Latecomer
from travelers.quality.models import Defect
from travelers.routes.actions import release_revision

pytestmark = pytest.mark.django_db


def saw(shop: make.Shop, part: Part | None = None) -> Step:
    return story.at(shop, part or shop.part(shop.instrument()), "Saw")


def told() -> list[tuple[str, bool, str]]:
    rows = Event.objects.order_by("seq").values_list("kind", "accepted", "refusal")
    return list(rows)


def agrees() -> None:
    """Hold the rows against the ledger."""
    for number in audit.instrument_ids():
        assert list(audit.check_instrument(instrument_id=number).differences) == []


# --- Taken in, once and in order


def test_what_was_kept_is_judged_for_when_it_was_done(outbox: Outbox) -> None:
    shop = outbox.shop
    step = saw(shop)
    begun = shop.later(minutes=5)
    outbox.press(Wish.START, step)
    done = shop.later(minutes=40)
    outbox.press(Wish.FINISH, step)
    heard = shop.later(hours=3)
    answers = outbox.send()
    assert [(one["accepted"], one["repeated"]) for one in answers] == [
        (True, False)
    ] * 2
    events = list(Event.objects.order_by("seq"))
    assert [one.happened_at for one in events] == [begun, done]
    assert {one.recorded_at for one in events} == {heard}
    assert all(one.came_late for one in events)
    assert [one.tablet_number for one in events] == [1, 2]
    assert {one.person for one in events} == {shop.cast.joiner}
    step.refresh_from_db()
    assert (step.state, step.started_at, step.finished_at) == ("DONE", begun, done)
    agrees()


@pytest.mark.proof("R3")
def test_one_press_sent_a_thousand_times_counts_once(outbox: Outbox) -> None:
    record = outbox.press(Wish.START, saw(outbox.shop))
    answers = [one for _ in range(10) for one in outbox.send([record] * 100)]
    assert len(answers) == 1000
    assert all(one["accepted"] for one in answers)
    assert [one["repeated"] for one in answers].count(False) == 1
    assert told() == [("START", True, "")]


def test_a_press_that_came_the_usual_way_is_known_again(outbox: Outbox) -> None:
    """The answer was lost, so the tablet sends it by itself: same id, same content."""
    shop, client = outbox.shop, outbox.client
    outbox.station = "CUTTER"
    step = story.at(shop, shop.part(shop.instrument()), "Machine")
    shop.must(Wish.START, step)
    shop.later(seconds=20)
    pocket = outbox.read(step, "56,12")
    hold = outbox.press(Wish.HOLD, step, reason="the grain", only_part="on")
    said = {"event_id": pocket["id"], "step": step.pk, **pocket["data"]}
    with time_machine.travel(shop.now, tick=False):
        assert client.post("/station/CUTTER/reading/", said).status_code == 200
        wished = {
            "event_id": hold["id"],
            "wish": "HOLD",
            "code": step.part.code,
            "step": step.pk,
            **hold["data"],
        }
        assert client.post("/station/CUTTER/wish/", wished).status_code == 200
    answers = outbox.send()
    assert [(one["accepted"], one["repeated"]) for one in answers] == [(True, True)] * 2
    assert [kind for kind, _, _ in told()][-2:] == ["READ", "HOLD"]


@pytest.mark.proof("R4")
def test_the_same_id_with_another_content_is_refused_and_shown(outbox: Outbox) -> None:
    first = outbox.press(Wish.START, saw(outbox.shop))
    other = {**first, "wish": "HOLD", "data": {"reason": "a knot"}}
    answers = outbox.send([first, other, other])
    assert [one["refused"] for one in answers] == [
        "",
        "floor.other_content",
        "floor.other_content",
    ]
    assert told() == [("START", True, ""), ("HOLD", False, "floor.other_content")]
    (late,) = Latecomer.objects.all()
    assert (late.refusal, late.claim["wish"]) == ("floor.other_content", "HOLD")
    assert late.person == outbox.shop.cast.joiner


def test_a_damaged_entry_answers_for_itself_and_stops_no_other(outbox: Outbox) -> None:
    step = saw(outbox.shop)
    start, finish = outbox.press(Wish.START, step), outbox.press(Wish.FINISH, step)
    damaged: list[Any] = [
        None,
        "START",
        {},
        [start],
        {**start, "id": "no id"},
        {**start, "id": str(uuid4()), "wish": "REWORK"},
        {**start, "id": str(uuid4()), "wish": "SCRAP"},
        {**start, "id": str(uuid4()), "made_at": "yesterday"},
        {**start, "id": str(uuid4()), "made_at": "2026-03-10T08:30:00"},
        {**start, "id": str(uuid4()), "made_at": "0001-01-01T00:00:00+14:00"},
        {**start, "id": str(uuid4()), "offset_ms": 1e300},
        {**start, "id": str(uuid4()), "step": 2**70},
        {**start, "id": str(uuid4()), "step": -1},
        {**start, "id": str(uuid4()), "number": 2**64},
        {**start, "id": str(uuid4()), "pass": 7},
        {**start, "id": str(uuid4()), "data": ["reason"]},
        {**start, "id": str(uuid4()), "data": {"reason": {"deep": "er"}}},
        {**start, "id": str(uuid4()), "wish": "READ", "data": {"check": "x"}},
        {**start, "id": str(uuid4()), "wish": "DEFECT", "data": {"x": "2"}},
        {**start, "id": str(uuid4()), "wish": "HOLD", "data": {"reason": "x" * 900}},
        {"id": str(uuid4()), "noise": "\0\ud800" * 3000},
    ]
    answers = outbox.send([start, *damaged, finish])
    assert len(answers) == len(damaged) + 2
    assert answers[0]["accepted"]
    assert answers[-1]["accepted"]
    assert {one["refused"] for one in answers[1:-1]} == {"outbox.unreadable"}
    assert Latecomer.objects.count() == len(damaged)
    again = outbox.send(damaged)
    assert all(one["repeated"] for one in again)
    assert Latecomer.objects.count() == len(damaged)
    assert told() == [("START", True, ""), ("FINISH", True, "")]


@pytest.mark.parametrize(
    ("body", "code"),
    [
        ("", "kit.form_wrong"),
        ("[]", "kit.form_wrong"),
        ('{"records": 1}', "kit.form_wrong"),
        ("[" * 100_000, "kit.form_wrong"),
        (b"\xff\xfe", "kit.form_wrong"),
        ({"records": [{}] * 201}, "outbox.too_many"),
        ('{"records": ["' + "x" * 1_100_000 + '"]}', "kit.too_much"),
    ],
)
def test_what_is_no_sending_is_refused_whole(
    outbox: Outbox, body: Any, code: str
) -> None:
    answer = outbox.post(body)
    assert (answer.status_code, answer.json()["code"]) == (422, code)
    assert not Latecomer.objects.exists()


def test_only_json_is_taken(outbox: Outbox) -> None:
    record = outbox.press(Wish.START, saw(outbox.shop))
    answer = outbox.post({"records": [record]}, content_type="text/plain")
    assert answer.status_code == 422
    assert told() == []


def test_a_reading_a_defect_and_a_stop_come_in(outbox: Outbox) -> None:
    shop = outbox.shop
    outbox.station = "CUTTER"
    step = story.at(shop, shop.part(shop.instrument()), "Machine")
    outbox.press(Wish.START, step)
    outbox.read(step, "56,10")
    outbox.press(
        Wish.DEFECT, step, kind="TEAR_OUT", x="0.412", y="0.300", severity="STOP",
        note="at the edge",
    )  # fmt: skip
    outbox.press(Wish.FINISH, step)
    answers = outbox.send()
    assert [one["refused"] for one in answers] == ["", "", "", "floor.held"]
    defect = Defect.objects.get()
    assert (str(defect.x), defect.severity, defect.note) == (
        "0.412",
        "STOP",
        "at the edge",
    )
    assert defect.event.tablet_number == 3
    assert (
        str(Event.objects.get(step=step, kind="READ").readings.get().value) == "56.1000"
    )
    (late,) = Latecomer.objects.all()
    assert (late.refusal, late.instrument) == ("floor.held", step.instrument)
    assert late.event == Event.objects.get(step=step, kind="FINISH")


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ("5b.1", "floor.value_not_a_number"),
        ("561", "floor.value_doubted"),
        ("", "floor.value_empty"),
    ],
)
def test_a_value_that_cannot_be_taken_is_kept_and_shown(
    outbox: Outbox, value: str, code: str
) -> None:
    shop = outbox.shop
    outbox.station = "CUTTER"
    step = story.at(shop, shop.part(shop.instrument()), "Machine")
    outbox.press(Wish.START, step)
    outbox.read(step, value)
    assert outbox.send()[1]["refused"] == code
    assert Latecomer.objects.get().claim["data"]["value"] == value


def test_a_doubtful_value_that_was_confirmed_is_taken(outbox: Outbox) -> None:
    shop = outbox.shop
    outbox.station = "CUTTER"
    step = story.at(shop, shop.part(shop.instrument()), "Machine")
    outbox.press(Wish.START, step)
    outbox.read(step, "561", confirm="561")
    assert [one["accepted"] for one in outbox.send()] == [True, True]


def test_a_code_that_nobody_knows_is_kept(outbox: Outbox) -> None:
    outbox.press(Wish.START, code="P0000000")
    (answer,) = outbox.send()
    assert answer["refused"] == "floor.unknown_code"
    assert told() == [("START", False, "floor.unknown_code")]
    assert Latecomer.objects.get().event == Event.objects.get()


def test_a_part_scanned_without_its_step_means_what_is_due(outbox: Outbox) -> None:
    step = saw(outbox.shop)
    outbox.press(Wish.START, code=step.part.code)
    assert outbox.send()[0]["accepted"]
    step.refresh_from_db()
    assert step.state == "RUNNING"


def test_a_station_that_is_gone_drops_nothing(outbox: Outbox) -> None:
    outbox.press(Wish.START, saw(outbox.shop))
    outbox.station = "NOWHERE"
    assert outbox.send()[0]["refused"] == "outbox.no_station"
    assert Latecomer.objects.get().person == outbox.shop.cast.joiner


def test_a_fault_of_one_stops_no_other(
    outbox: Outbox, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = saw(outbox.shop), saw(outbox.shop)
    outbox.press(Wish.START, first)
    outbox.press(Wish.START, second)
    usual = actions.record

    def record(**told: Any) -> Any:
        if told["step_id"] == first.pk:
            raise ZeroDivisionError
        return usual(**told)

    monkeypatch.setattr(actions, "record", record)
    answers = outbox.send()
    assert [one["refused"] for one in answers] == ["outbox.fault", ""]
    assert Latecomer.objects.get().claim["step"] == first.pk


def test_while_the_database_is_away_nothing_is_answered(
    outbox: Outbox, monkeypatch: pytest.MonkeyPatch
) -> None:
    outbox.press(Wish.START, saw(outbox.shop))

    def busy(**told: Any) -> Any:
        raise OperationalError("database is locked")

    monkeypatch.setattr(actions, "record", busy)
    answer = outbox.post({"records": outbox.kept})
    assert (answer.status_code, answer.headers["Retry-After"] != "") == (503, True)
    assert not Latecomer.objects.exists()


# --- Two tablets, and the order


def test_what_two_tablets_did_may_come_in_any_order(shop: make.Shop) -> None:
    """The first hand that is heard has it; the other is told, and nothing is lost."""
    here, there = Outbox(shop).enter(), Outbox(shop, by="finisher").enter()
    step = saw(shop)
    shop.later(minutes=1)
    there.press(Wish.START, step)
    shop.later(minutes=1)
    here.press(Wish.START, step)
    here.press(Wish.FINISH, step)
    shop.later(minutes=10)
    assert [one["accepted"] for one in here.send()] == [True, True]
    assert there.send()[0]["refused"] == "floor.already_done"
    late = Latecomer.objects.get()
    assert (late.person, late.sent_by) == (shop.cast.finisher, shop.cast.finisher)
    agrees()


def test_each_tablet_keeps_its_own_order_whatever_is_between(shop: make.Shop) -> None:
    tablets = [Outbox(shop).enter() for _ in range(3)]
    steps = [saw(shop, shop.part(one)) for one in released(shop, 9)]
    for place, step in enumerate(steps):
        tablet = tablets[place % 3]
        tablet.press(Wish.START, step)
        shop.later(minutes=1)
        tablet.press(Wish.FINISH, step)
    chance = random.Random(7)
    left = {number: list(tablet.kept) for number, tablet in enumerate(tablets)}
    while left:
        number = chance.choice(sorted(left))
        size = chance.randint(1, 3)
        batch, left[number] = left[number][:size], left[number][size:]
        assert all(one["accepted"] for one in tablets[number].send(batch))
        if not left[number]:
            del left[number]
    for step in steps:
        rows = Event.objects.filter(step=step).order_by("seq")
        assert [row.kind for row in rows] == ["START", "FINISH"]
    agrees()


# --- The clock


@pytest.mark.proof("R16")
@pytest.mark.parametrize("days", [-2, 2])
@pytest.mark.parametrize("knows", [True, False])
def test_a_clock_days_off_is_mended(outbox: Outbox, days: int, *, knows: bool) -> None:
    """With the measured offset to the second; ahead of it never later than heard."""
    shop = outbox.shop
    # What has to be added: a clock that is two days ahead needs minus two days.
    outbox.clock_off, outbox.knows_offset = timedelta(days=days), knows
    step = saw(shop)
    done = shop.now
    outbox.press(Wish.START, step)
    heard = shop.later(minutes=30)
    (answer,) = outbox.send()
    if not knows and days > 0:
        # Two days back and nothing known: before the pass was given.
        assert answer["refused"] == "outbox.pass_outdated"
        return
    event = Event.objects.get()
    assert event.happened_at == (done if knows else heard)
    assert event.tablet_at == done - timedelta(days=days)
    page = outbox.client.get(f"/instrument/{step.instrument.serial}/").content.decode()
    assert "clock showed" in page


def test_a_small_difference_is_not_told(outbox: Outbox) -> None:
    outbox.clock_off = timedelta(seconds=100)
    step = saw(outbox.shop)
    outbox.press(Wish.START, step)
    outbox.send()
    page = outbox.client.get(f"/instrument/{step.instrument.serial}/").content.decode()
    assert "clock showed" not in page


@pytest.mark.proof("R16")
def test_a_clock_changed_in_mid_shift_makes_no_negative_time(outbox: Outbox) -> None:
    shop = outbox.shop
    step = saw(shop)
    outbox.press(Wish.START, step)
    shop.later(minutes=10)
    # Set back by an hour, and the tablet has not noticed.
    record = outbox.press(Wish.FINISH, step)
    record["made_at"] = (shop.now - timedelta(hours=1)).isoformat()
    outbox.carried.clear()
    shop.later(minutes=10)
    outbox.send()
    step.refresh_from_db()
    assert step.started_at
    assert step.finished_at
    assert step.finished_at >= step.started_at


# --- Who did it


def test_a_removed_person_still_counts_for_what_was_done(outbox: Outbox) -> None:
    shop = outbox.shop
    outbox.press(Wish.START, saw(shop))
    joiner = shop.cast.joiner
    joiner.is_active = False
    joiner.save(update_fields=["is_active"])
    shop.later(hours=2)
    outbox.client = Client()
    assert outbox.enrolled().send()[0]["accepted"]
    event = Event.objects.get()
    assert (event.person, event.tablet) == (joiner, shop.cast.tablet)


def test_a_pass_counts_for_one_shift(outbox: Outbox) -> None:
    shop = outbox.shop
    outbox.carried["joiner"] = outbox.pass_for("joiner")
    before = shop.now
    shop.now = before - timedelta(minutes=3)
    early = outbox.press(Wish.START, saw(shop))
    shop.now = before + timedelta(hours=12)
    good = outbox.press(Wish.START, saw(shop))
    good["made_at"] = (before + timedelta(hours=11, minutes=59)).isoformat()
    late = outbox.press(Wish.START, saw(shop))
    late["made_at"] = (before + timedelta(hours=12, minutes=1)).isoformat()
    shop.now = before + timedelta(hours=80)
    answers = outbox.enter().send([early, good, late])
    outdated = "outbox.pass_outdated"
    assert [one["refused"] for one in answers] == [outdated, "", outdated]
    assert {late.person for late in Latecomer.objects.all()} == {shop.cast.joiner}


@pytest.mark.parametrize("damage", ["", "x", "eyJ9:1:2", "tail", "other"])
def test_a_bad_pass_is_nobodys_and_kept(outbox: Outbox, damage: str) -> None:
    shop = outbox.shop
    step = saw(shop)
    record = outbox.press(Wish.START, step)
    good = record["pass"]
    _, *rest = good.split(":")
    bad = {
        "tail": good[:-1] + ("A" if good[-1] != "A" else "B"),
        "other": ":".join([outbox.pass_for("lead").split(":")[0], *rest]),
    }
    record["pass"] = bad.get(damage, damage)
    (answer,) = outbox.send()
    assert (answer["refused"], answer["repeated"]) == ("outbox.pass_wrong", False)
    assert outbox.send()[0]["repeated"]
    assert told() == []
    late = Latecomer.objects.get()
    assert (late.person, late.sent_by) == (None, shop.cast.joiner)
    assert late.instrument == step.instrument
    assert "pass" not in late.claim


def test_a_press_of_one_stays_with_that_one(outbox: Outbox) -> None:
    """What the joiner did comes in under the lead's session and stays the joiner's."""
    outbox.press(Wish.START, saw(outbox.shop))
    outbox.enter("lead").send()
    assert Event.objects.get().person == outbox.shop.cast.joiner


# --- The door


def test_a_stranger_is_not_let_in(outbox: Outbox) -> None:
    outbox.press(Wish.START, saw(outbox.shop))
    outbox.client = Client()
    answer = outbox.post({"records": outbox.kept})
    assert (answer.status_code, answer.json()["code"]) == (403, "outbox.not_let_in")
    assert told() == []


@pytest.mark.parametrize("signed_in", [True, False])
def test_what_comes_without_the_token_of_a_form_is_refused(
    outbox: Outbox, *, signed_in: bool
) -> None:
    outbox.press(Wish.START, saw(outbox.shop))
    outbox.client = Client(enforce_csrf_checks=True)
    outbox.enter() if signed_in else outbox.enrolled()
    refused = outbox.post({"records": outbox.kept})
    assert (refused.status_code, refused.json()["code"]) == (403, "kit.stale_page")
    assert outbox.due().status_code == 200
    taken = outbox.post(
        {"records": outbox.kept}, **{"X-CSRFToken": csrf_of(outbox.client)}
    )
    assert taken.status_code == 200
    assert told() == [("START", True, "")]


# --- Three days without network


@pytest.mark.proof("R18")
@pytest.mark.once
def test_three_people_after_three_days(shop: make.Shop) -> None:
    """Two thousand presses (in each run of the tests some hundreds) of three people,
    one of them removed since, a held part and a revised route between: all stored,
    what is refused is listed, none dropped."""
    presses = sized(600, 2000)
    made = released(shop, 40)
    steps = [saw(shop, shop.part(one)) for one in made]
    people = ("joiner", "finisher", "qa")
    tablet = Outbox(shop)
    for step in steps:
        tablet.press(Wish.START, step, by="joiner")
        shop.later(seconds=10)
    while len(tablet.kept) < presses - len(steps):
        step = steps[len(tablet.kept) % len(steps)]
        by = people[len(tablet.kept) % 3]
        tablet.press(Wish.HOLD, step, by=by, reason="look at it", only_part="on")
        shop.later(seconds=1)
    for step in steps:
        tablet.press(Wish.FINISH, step, by="finisher")
        shop.later(seconds=10)
    shop.later(hours=72)
    shop.cast.finisher.is_active = False
    shop.cast.finisher.save(update_fields=["is_active"])
    revised = make.draft(shop.model, shop.cast, "B")
    release_revision(revision_id=revised.pk, by=shop.cast.engineer, at=shop.now)
    tablet.enrolled()
    answers = []
    for start in range(0, presses, 100):
        answers += tablet.send(tablet.kept[start : start + 100])
    assert len(answers) == presses
    assert Event.objects.count() == presses
    refused = [one for one in answers if not one["accepted"]]
    # What was held before it was ended is not ended; the holds themselves all count.
    assert {one["refused"] for one in refused} == {"floor.held"}
    assert len(refused) == len(steps) == Latecomer.objects.count()
    numbers = Event.objects.order_by("seq").values_list("tablet_number", flat=True)
    assert list(numbers) == list(range(1, presses + 1))
    agrees()
