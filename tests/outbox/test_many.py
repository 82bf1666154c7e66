"""Are a list of parts and an undo that a tablet kept taken like those at the screen?"""

from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine

from tests import make
from tests.floor import story
from tests.outbox.tablet import Outbox
from travelers.floor.models import Event, Load, Stay
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.orders.models import Step
from travelers.outbox.models import Latecomer
from travelers.shop.models import Station

pytestmark = pytest.mark.django_db


@pytest.fixture
def room(outbox: Outbox) -> Outbox:
    outbox.station = "ROOM"
    return outbox


def dryers(shop: make.Shop, count: int) -> list[Step]:
    made = shop.instruments(count)
    return [story.at(shop, shop.part(one), "Dry") for one in made]


def agrees() -> None:
    for number in audit.instrument_ids():
        assert list(audit.check_instrument(instrument_id=number).differences) == []
    assert list(audit.check_loads()) == []


def refused(answers: list[dict[str, object]]) -> list[str]:
    return [str(one["refused"]) for one in answers]


# --- Many parts at once


def test_a_list_comes_in_as_one_load_in_its_order(room: Outbox) -> None:
    shop, load = room.shop, uuid4()
    steps = dryers(shop, 3)
    for step in steps:
        room.press(Wish.LOAD, step, load=str(load))
    shop.later(hours=2)
    assert refused(room.send()) == ["", "", ""]
    stays = Stay.objects.filter(load=load).order_by("event_id")
    assert [stay.step for stay in stays] == steps
    events = Event.objects.filter(kind="LOAD").order_by("seq")
    assert [one.tablet_number for one in events] == [1, 2, 3]
    assert len({one.happened_at for one in events}) == 1
    shop.later(days=11)
    for step in steps:
        shop.check(step)
        room.press(Wish.TAKE_OUT, step)
    room.carried.clear()
    for record in room.kept[3:]:
        record["pass"] = room.pass_for("joiner")
    assert refused(room.send(room.kept[3:])) == ["", "", ""]
    assert not Stay.objects.filter(load=load, taken_out=None).exists()
    agrees()


def test_one_part_that_is_refused_stops_no_other_of_its_load(room: Outbox) -> None:
    shop, load = room.shop, uuid4()
    Station.objects.filter(code="ROOM").update(places=2)
    first, held, *rest = dryers(shop, 4)
    shop.must(Wish.HOLD, held, by="qa", reason="wet", only_part=True)
    for step in (first, held, *rest):
        room.press(Wish.LOAD, step, load=str(load))
    assert refused(room.send()) == ["", "floor.held", "", "floor.no_room"]
    assert Latecomer.objects.count() == 2
    assert Stay.objects.filter(load=load).count() == 2
    agrees()


def test_a_list_whose_answer_was_lost_is_known_again(room: Outbox) -> None:
    """It came the usual way, and comes again by the store: same ids, same content."""
    shop, load = room.shop, uuid4()
    steps = dryers(shop, 2)
    kept = [room.press(Wish.LOAD, step, load=str(load)) for step in steps]
    going = [f"{one['code']} {one['step']} {one['id']} {one['number']}" for one in kept]
    said = {"wish": "LOAD", "load": load, "parts": "", "go": going}
    with time_machine.travel(shop.now, tick=False):
        answer = room.client.post("/station/ROOM/several/", said)
    assert answer.status_code == 200
    answers = room.send()
    assert [(one["accepted"], one["repeated"]) for one in answers] == [(True, True)] * 2
    assert Event.objects.filter(kind="LOAD").count() == 2
    agrees()


def test_a_load_that_lies_elsewhere_takes_nothing_in(room: Outbox) -> None:
    shop, load = room.shop, uuid4()
    (step,) = dryers(shop, 1)
    cured = story.at(shop, shop.part(shop.instrument()), "Cure")
    shop.must(Wish.LOAD, cured, load=str(load))
    room.press(Wish.LOAD, step, load=str(load))
    room.press(Wish.LOAD, step, load="no load")
    assert refused(room.send()) == ["floor.load_elsewhere", "outbox.unreadable"]
    assert Load.objects.get().station == shop.cast.stations["RACK"]


# --- Taken back


def test_a_press_and_its_undo_both_come_in(outbox: Outbox) -> None:
    shop = outbox.shop
    step = story.at(shop, shop.part(shop.instrument()), "Saw")
    start = outbox.press(Wish.START, step)
    shop.later(minutes=1)
    outbox.press(Wish.UNDO, step, event=start["id"])
    shop.later(hours=3)
    assert refused(outbox.send()) == ["", ""]
    kinds = Event.objects.order_by("seq").values_list("kind", "accepted")
    assert list(kinds) == [("START", True), ("UNDO", True)]
    step.refresh_from_db()
    assert (step.state, step.started_at) == ("READY", None)
    # Sent again, nothing more happens.
    assert [one["repeated"] for one in outbox.send()] == [True, True]
    agrees()


def test_an_undo_that_lost_its_step_finds_the_press_by_its_number(
    outbox: Outbox,
) -> None:
    """A part that the tablet did not know: neither press names a step."""
    shop = outbox.shop
    step = story.at(shop, shop.part(shop.instrument()), "Saw")
    start = outbox.press(Wish.START, code=step.part.code)
    outbox.press(Wish.UNDO, code=step.part.code, event=start["id"])
    assert refused(outbox.send()) == ["", ""]
    step.refresh_from_db()
    assert step.state == "READY"
    agrees()


def test_an_undo_by_a_clock_set_back_is_not_before_its_press(outbox: Outbox) -> None:
    shop = outbox.shop
    step = story.at(shop, shop.part(shop.instrument()), "Saw")
    outbox.press(Wish.START, step)
    shop.later(hours=1)
    done = outbox.press(Wish.FINISH, step)
    assert refused(outbox.send()) == ["", ""]
    shop.later(seconds=10)
    outbox.clock_off = timedelta(minutes=5)
    outbox.knows_offset = False
    undo = outbox.press(Wish.UNDO, step, event=done["id"])
    assert refused(outbox.send([undo])) == [""]
    *_, second, third = Event.objects.order_by("seq")
    assert third.happened_at == second.happened_at


def test_an_undo_that_came_too_late_by_its_own_time_is_the_leads(
    outbox: Outbox,
) -> None:
    shop = outbox.shop
    step = story.at(shop, shop.part(shop.instrument()), "Saw")
    start = outbox.press(Wish.START, step)
    shop.later(hours=1)
    outbox.press(Wish.UNDO, step, event=start["id"])
    assert refused(outbox.send()) == ["", "floor.undo_late"]
    assert Latecomer.objects.get().refusal == "floor.undo_late"


def test_the_undo_of_a_press_that_was_refused_is_told_so(outbox: Outbox) -> None:
    shop = outbox.shop
    step = story.at(shop, shop.part(shop.instrument()), "Saw")
    shop.must(Wish.HOLD, step, by="qa", reason="wet", only_part=True)
    start = outbox.press(Wish.START, step)
    outbox.press(Wish.UNDO, step, event=start["id"])
    assert refused(outbox.send()) == ["floor.held", "floor.no_such_event"]
    assert Latecomer.objects.count() == 2
