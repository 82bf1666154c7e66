"""Is what was taken back as if it had never been, and still on record?"""

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from tests import make
from tests.floor.story import allow, at, code_of, send_back
from travelers.floor import queries
from travelers.floor.actions import Verdict, record, take_back
from travelers.floor.models import Event, Reading
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.kit.refusals import Refused
from travelers.orders.models import Instrument, Part, Step

pytestmark = pytest.mark.django_db


def undo(
    shop: make.Shop, taken: Verdict, *, by: str = "joiner", reason: str = "", **how: Any
) -> Verdict:
    step = Step.objects.get(pk=taken.step_id or 0)
    return shop.scan(
        Wish.UNDO,
        step.part,
        step=step,
        by=by,
        event=str(taken.event_id),
        reason=reason,
        **how,
    )


def rows(instrument: Instrument) -> list[Any]:
    """Give all that follows from the ledger."""
    return [
        list(Step.objects.filter(instrument=instrument).order_by("pk").values()),
        list(Part.objects.filter(instrument=instrument).order_by("pk").values()),
        list(Instrument.objects.filter(pk=instrument.pk).values()),
    ]


def agrees(instrument: Instrument) -> None:
    checked = audit.check_instrument(instrument_id=instrument.pk)
    assert [str(one) for one in checked.differences] == []


MOVES = (("Saw", "START"), ("Saw", "FINISH"), ("Dry", "LOAD"), ("Dry", "TAKE_OUT"))


@pytest.mark.parametrize(("operation", "kind"), MOVES)
def test_a_press_taken_back_leaves_the_rows_as_they_were(
    shop: make.Shop, body: Part, operation: str, kind: str
) -> None:
    step = at(shop, body, operation)
    if kind in ("FINISH", "TAKE_OUT"):
        shop.must(Wish.START if kind == "FINISH" else Wish.LOAD, step)
        step.refresh_from_db()
        shop.now = step.dwell_until or shop.now
        shop.check(step)
    before = rows(body.instrument)
    taken = shop.must(Wish[kind], step)
    assert rows(body.instrument) != before
    shop.later(minutes=3)
    back = undo(shop, taken)
    assert back.accepted, back.refusal
    assert rows(body.instrument) == before
    agrees(body.instrument)
    event = Event.objects.get(event_id=back.event_id)
    assert (event.kind, event.corrects_id, event.data["event"]) == (
        "UNDO",
        taken.seq,
        str(taken.event_id),
    )
    assert (event.part, event.step) == (step.part, step)
    assert Event.objects.get(pk=taken.seq).accepted


def test_the_bench_comes_back_as_it_stands_then(shop: make.Shop, body: Part) -> None:
    step = at(shop, body, "Saw")
    shop.must(Wish.START, step)
    taken = shop.must(Wish.FINISH, step)
    back = undo(shop, taken)
    assert back.bench
    assert back.bench.about
    found = queries.find_bench(step_id=step.pk)
    assert found
    assert back.bench == queries.bench_of(found=found)


def test_the_same_wish_sent_again_gets_its_first_answer(
    shop: make.Shop, body: Part
) -> None:
    taken = shop.must(Wish.START, at(shop, body, "Saw"))
    event_id = uuid4()
    first = undo(shop, taken, event_id=event_id)
    count = Event.objects.count()
    again = undo(shop, taken, event_id=event_id)
    assert (again.repeated, again.accepted, again.seq) == (True, True, first.seq)
    assert Event.objects.count() == count
    with pytest.raises(Refused, match="other_content"):
        undo(shop, taken, event_id=event_id, reason="another")


def test_an_event_is_taken_back_once(shop: make.Shop, body: Part) -> None:
    taken = shop.must(Wish.START, at(shop, body, "Saw"))
    assert undo(shop, taken).accepted
    again = undo(shop, taken, by="lead", reason="to be sure")
    assert code_of(again) == "floor.undone_already"
    assert again.refusal
    assert again.refusal.words["person"] == "Joiner Cast"
    assert Event.objects.get(pk=again.seq).corrects is None
    agrees(body.instrument)


def test_taking_back_is_not_taken_back_but_done_again(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Saw")
    back = undo(shop, shop.must(Wish.START, step))
    assert code_of(undo(shop, back)) == "floor.never_undone"
    assert shop.must(Wish.START, step).accepted
    agrees(body.instrument)


def test_what_was_refused_or_is_of_another_instrument_cannot_be_taken_back(
    shop: make.Shop,
) -> None:
    one, other = map(shop.part, shop.instruments(2))
    step = at(shop, one, "Saw")
    refused = shop.scan(Wish.FINISH, one, step=step)
    assert code_of(undo(shop, refused)) == "floor.no_such_event"
    taken = shop.must(Wish.START, step)
    elsewhere = shop.scan(Wish.UNDO, other, event=str(taken.event_id))
    assert code_of(elsewhere) == "floor.no_such_event"
    for nothing in ("", "nonsense", str(UUID(int=5))):
        got = shop.scan(Wish.UNDO, one, step=step, event=nothing)
        assert code_of(got) == "floor.no_such_event"
    agrees(one.instrument)
    agrees(other.instrument)


def test_the_window_counts_from_when_it_happened_to_when_it_was_wished(
    shop: make.Shop, body: Part
) -> None:
    """A tablet without network heard of neither when it happened."""
    step = at(shop, body, "Saw")
    taken = shop.must(Wish.START, step)
    pressed = shop.now + timedelta(minutes=10)
    shop.later(hours=3)
    late = undo(shop, taken)
    assert code_of(late) == "floor.undo_late"
    kept = undo(shop, taken, when=pressed)
    assert kept.accepted
    assert Event.objects.get(pk=kept.seq).came_late


def test_a_deployment_says_how_long_a_touch_is_enough(
    shop: make.Shop, body: Part, settings: Any
) -> None:
    settings.UNDO_WITHIN = timedelta(minutes=2)
    taken = shop.must(Wish.START, at(shop, body, "Saw"))
    shop.later(minutes=3)
    assert code_of(undo(shop, taken)) == "floor.undo_late"


def test_a_reading_taken_back_counts_no_more_but_stays(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Machine")
    shop.must(Wish.START, step)
    good = shop.must(Wish.READ, step, readings=[shop.reading(step, "56.10", "caliper")])
    bad = shop.must(Wish.READ, step, readings=[shop.reading(step, "57", "caliper")])
    assert code_of(shop.scan(Wish.FINISH, body, step=step)) == "floor.out_of_tolerance"
    assert undo(shop, bad).accepted
    assert Reading.objects.count() == 3
    # The one before counts again.
    taken = shop.must(Wish.FINISH, step)
    assert undo(shop, taken).accepted
    assert undo(shop, good).accepted
    assert code_of(shop.scan(Wish.FINISH, body, step=step)) == "floor.check_missing"
    agrees(body.instrument)


def test_a_mate_taken_back_is_wanted_again(shop: make.Shop, body: Part) -> None:
    glue = at(shop, body, "Glue")
    shop.must(Wish.START, glue)
    shop.mate(glue)
    last = shop.log[-1]
    assert undo(shop, last).accepted
    assert code_of(shop.scan(Wish.FINISH, body, step=glue)) == "floor.mates_missing"


def test_a_passage_is_given_back_with_what_went_through(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Machine")
    allow(shop, step, "floor.not_here")
    taken = shop.scan(Wish.START, body, step=step, at="SAW")
    assert taken.accepted
    assert undo(shop, taken).accepted
    again = shop.scan(Wish.START, body, step=step, at="SAW")
    assert again.accepted
    assert again.allowed_by_id == shop.cast.lead.pk


def test_a_permission_can_be_withdrawn_until_it_is_used(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Machine")
    allowed = allow(shop, step, "floor.not_here")
    assert undo(shop, allowed, by="lead").accepted
    refused = shop.scan(Wish.START, body, step=step, at="SAW")
    assert code_of(refused) == "floor.not_here"
    used = allow(shop, step, "floor.not_here")
    assert shop.scan(Wish.START, body, step=step, at="SAW").accepted
    late = undo(shop, used, by="lead")
    assert code_of(late) == "floor.undo_depends"


def test_what_lies_clamped_lies_from_when_it_is_clamped_again(
    shop: make.Shop, body: Part
) -> None:
    glue = at(shop, body, "Glue")
    shop.must(Wish.START, glue)
    shop.mate(glue)
    taken = shop.must(Wish.FINISH, glue)
    glue.refresh_from_db()
    first = glue.dwell_until
    assert first
    shop.later(minutes=5)
    assert undo(shop, taken).accepted
    glue.refresh_from_db()
    assert (glue.state, glue.dwell_until) == ("RUNNING", None)
    shop.must(Wish.FINISH, glue)
    glue.refresh_from_db()
    assert glue.dwell_until == first + timedelta(minutes=5)
    agrees(body.instrument)


def test_a_hold_is_as_old_as_it_was(shop: make.Shop, body: Part) -> None:
    step = at(shop, body, "Saw")
    taken = shop.must(Wish.START, step)
    shop.later(minutes=1)
    shop.scan(Wish.HOLD, body, reason="knot", only_part=True)
    held_at = shop.now
    shop.later(minutes=1)
    assert undo(shop, taken).accepted
    body.refresh_from_db()
    assert (body.held_at, body.look) == (held_at, "HELD")
    agrees(body.instrument)


def test_the_press_that_finished_an_instrument_puts_it_back_on_the_floor(
    shop: make.Shop,
) -> None:
    instrument = shop.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(instrument, branch))
    instrument.refresh_from_db()
    assert instrument.state == "FINISHED"
    assert undo(shop, shop.log[-1]).accepted
    instrument.refresh_from_db()
    assert (instrument.state, instrument.closed_at) == ("OPEN", None)
    agrees(instrument)
    shop.work(shop.part(instrument, "ASSEMBLY"))
    instrument.refresh_from_db()
    assert instrument.state == "FINISHED"
    agrees(instrument)


def test_of_two_that_ended_a_step_the_one_that_stands_is_named(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Saw")
    shop.must(Wish.START, step)
    undo(shop, shop.must(Wish.FINISH, step))
    shop.must(Wish.FINISH, step, by="finisher")
    refused = shop.scan(Wish.FINISH, body, step=step)
    assert refused.refusal
    assert refused.refusal.words["person"] == "Finisher Cast"


# --- By the lead, with what hangs on it


def saw_done_and_loaded(shop: make.Shop, body: Part) -> tuple[Verdict, Verdict]:
    step = at(shop, body, "Saw")
    shop.must(Wish.START, step)
    done = shop.must(Wish.FINISH, step)
    return done, shop.must(Wish.LOAD, at(shop, body, "Dry"))


def by_lead(shop: make.Shop, taken: Verdict, *seen: Verdict, **how: Any) -> Verdict:
    step = Step.objects.get(pk=taken.step_id or 0)
    told: dict[str, Any] = {
        "tag": step.part.code,
        "target_id": taken.event_id,
        "seen": [str(one.event_id) for one in seen],
        "person": shop.cast.lead,
        "reason": "wrong body",
        "event_id": uuid4(),
        "at": shop.now,
        "heard_at": shop.now,
    }
    return take_back(**(told | how))


def test_the_bench_is_told_what_was_built_on_it(shop: make.Shop, body: Part) -> None:
    done, _ = saw_done_and_loaded(shop, body)
    refused = undo(shop, done)
    assert code_of(refused) == "floor.undo_depends"
    assert refused.refusal
    assert refused.refusal.words["later_words"] == "LOAD Dry"
    agrees(body.instrument)


def test_a_lead_takes_back_all_of_it_each_by_its_own_event(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Saw")
    shop.must(Wish.START, step)
    before = rows(body.instrument)
    done, loaded = saw_done_and_loaded_from(shop, body)
    shop.later(days=1)
    event_id = uuid4()
    got = by_lead(shop, done, loaded, event_id=event_id)
    assert got.accepted, got.refusal
    assert rows(body.instrument) == before
    agrees(body.instrument)
    undone = Event.objects.filter(kind="UNDO").order_by("seq")
    assert [event.corrects_id for event in undone] == [loaded.seq, done.seq]
    assert {event.data["reason"] for event in undone} == {"wrong body"}
    # Sent again, all of it gets its first answer.
    again = by_lead(shop, done, loaded, event_id=event_id)
    assert (again.repeated, again.seq) == (True, got.seq)
    assert undone.count() == 2


def saw_done_and_loaded_from(shop: make.Shop, body: Part) -> tuple[Verdict, Verdict]:
    done = shop.must(Wish.FINISH, at(shop, body, "Saw"))
    return done, shop.must(Wish.LOAD, at(shop, body, "Dry"))


def test_a_lead_takes_back_no_more_than_was_seen(shop: make.Shop, body: Part) -> None:
    done, loaded = saw_done_and_loaded(shop, body)
    before = rows(body.instrument)
    got = by_lead(shop, done)
    assert code_of(got) == "floor.undo_depends"
    assert rows(body.instrument) == before
    # What was seen and is gone meanwhile does not matter.
    assert undo(shop, loaded).accepted
    assert by_lead(shop, done, loaded).accepted
    agrees(body.instrument)


def test_an_operator_takes_back_no_more_in_that_way(
    shop: make.Shop, body: Part
) -> None:
    """What another pressed since hangs on it: all of it stays."""
    step = at(shop, body, "Saw")
    shop.must(Wish.START, step)
    done = shop.must(Wish.FINISH, step)
    loaded = shop.must(Wish.LOAD, at(shop, body, "Dry"), by="finisher")
    before = rows(body.instrument)
    with pytest.raises(Refused, match="undo_others"):
        by_lead(shop, done, loaded, person=shop.cast.joiner)
    assert rows(body.instrument) == before
    agrees(body.instrument)


def test_what_qa_decided_since_is_not_taken_back(shop: make.Shop, body: Part) -> None:
    step = at(shop, body, "Lacquer")
    started = shop.must(Wish.START, step)
    send_back(shop, step, "RUN", "Lacquer")
    got = by_lead(shop, started)
    assert code_of(got) == "floor.undo_stuck"
    assert got.refusal
    assert got.refusal.words["later_words"] == "REWORK Lacquer 1"
    agrees(body.instrument)


def test_an_event_of_nobody_is_not_found_by_the_lead(
    shop: make.Shop, body: Part
) -> None:
    taken = shop.must(Wish.START, at(shop, body, "Saw"))
    got = by_lead(shop, taken, target_id=UUID(int=3))
    assert code_of(got) == "floor.no_such_event"


def test_what_was_pressed_last_at_a_station_is_offered_while_it_is_fresh(
    shop: make.Shop, body: Part
) -> None:
    step = at(shop, body, "Saw")
    station = shop.cast.stations["SAW"].pk

    def offered(by: str = "joiner") -> Any:
        return queries.last_press(
            station_id=station, person=shop.cast.people[by], at=shop.now
        )

    taken = shop.must(Wish.START, step)
    shown = offered()
    assert (shown.event_id, shown.kind, shown.operation, shown.serial) == (
        taken.event_id,
        Wish.START,
        "Saw",
        body.instrument.serial,
    )
    assert offered("finisher") is None
    shop.later(minutes=10)
    assert offered()
    shop.later(seconds=1)
    assert offered() is None
    taken = shop.must(Wish.FINISH, step)
    assert undo(shop, taken).accepted
    # The one before it would be next, were it as fresh.
    assert offered() is None


def test_another_content_under_one_id_is_no_undo(shop: make.Shop, body: Part) -> None:
    step = at(shop, body, "Saw")
    taken = shop.must(Wish.START, step)
    with pytest.raises(Refused, match="other_content"):
        record(
            wish=Wish.UNDO,
            step_id=step.pk,
            station=queries.find_place(code="SAW"),
            person=shop.cast.joiner,
            event_id=taken.event_id,
            at=shop.now,
            heard_at=shop.now,
            data={"event": str(taken.event_id)},
        )
