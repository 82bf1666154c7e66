"""Does the only door to the ledger let in what is right, once, and keep the rest?"""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from tests import make
from tests.floor.story import code_of
from tests.floor.tablet import Tablet
from travelers.floor.models import Event, Hold, Reading
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.floor.rules.digest import digest_of
from travelers.kit.refusals import Refused
from travelers.orders.models import Instrument, Part, Step

pytestmark = pytest.mark.django_db


def rows() -> list[Any]:
    """Copy all rows that a scan may move; the ledger itself is not among them."""
    return [
        list(model.objects.order_by("pk").values())
        for model in (Step, Part, Instrument, Hold, Reading)
    ]


def test_a_start_is_one_event_and_moves_one_step(shop: make.Shop, body: Part) -> None:
    step = shop.step_of(body)
    assert step
    verdict = shop.scan(Wish.START, body)
    assert (verdict.accepted, verdict.repeated, verdict.refusal) == (True, False, None)
    step.refresh_from_db()
    assert (step.state, step.started_at) == ("RUNNING", shop.now)
    assert step.at_station == shop.cast.stations["SAW"]
    event = Event.objects.get()
    assert (event.seq, event.event_id) == (verdict.seq, verdict.event_id)
    assert (event.instrument, event.part, event.step) == (
        body.instrument,
        body,
        step,
    )
    assert (event.station, event.person) == (step.station, shop.cast.joiner)
    assert (event.code, event.kind, event.data) == (
        body.code,
        "START",
        {"state": "RUNNING"},
    )
    assert (event.happened_at, event.recorded_at) == (shop.now, shop.now)
    assert (event.accepted, event.refusal, event.came_late) == (True, "", False)
    assert (event.allowed_by, event.allowed_reason) == (None, "")
    body.refresh_from_db()
    assert (body.look, body.since) == ("IN_WORK", shop.now)


def test_the_answer_shows_the_bench_as_it_is_after(shop: make.Shop, body: Part) -> None:
    verdict = shop.scan(Wish.START, body)
    assert verdict.bench
    now = verdict.bench.current(body.pk)
    assert now
    assert (now.state, now.place) == ("RUNNING", "Saw")
    refused = shop.scan(Wish.START, body)
    assert refused.bench == verdict.bench


def test_every_event_names_the_one_before(shop: make.Shop, body: Part) -> None:
    """The chain holds refused events too, and each instrument has its own."""
    other = shop.part(shop.instrument())
    for part, wish in (
        (body, Wish.START),
        (other, Wish.START),
        (body, Wish.LOAD),
        (body, Wish.FINISH),
        (other, Wish.FINISH),
    ):
        shop.scan(wish, part)
    for part in (body, other):
        chain = list(Event.objects.filter(instrument=part.instrument).order_by("seq"))
        before = [""] + [event.digest for event in chain[:-1]]
        assert [event.previous_digest for event in chain] == before
        assert [event.digest for event in chain] == [digest_of(e) for e in chain]
        assert {len(event.digest) for event in chain} == {64}


@pytest.mark.parametrize("who", ["planner", "engineer", "admin", "outsider"])
def test_who_may_not_is_refused_on_record(
    shop: make.Shop, body: Part, who: str
) -> None:
    before = rows()
    verdict = shop.scan(Wish.START, body, by=who)
    assert (verdict.accepted, code_of(verdict)) == (False, "floor.may_not")
    assert rows() == before
    event = Event.objects.get()
    assert (event.accepted, event.refusal, event.person) == (
        False,
        "floor.may_not",
        shop.cast.people[who],
    )
    assert event.data["words"] == {"person": f"{who.title()} Cast"}


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        (Wish.LIFT, {"hold": str(uuid4()), "reason": "seen"}),
        (Wish.ALLOW, {"gate": "floor.not_here", "reason": "seen"}),
        (Wish.REWORK, {"operations": [], "reason": "seen"}),
        (Wish.SCRAP, {"reason": "seen"}),
    ],
)
def test_an_operator_decides_nothing(
    shop: make.Shop, body: Part, wish: Wish, said: dict[str, Any]
) -> None:
    if wish is Wish.LIFT:
        said["hold"] = str(shop.scan(Wish.HOLD, body, reason="knot").event_id)
    before = rows()
    assert code_of(shop.scan(wish, body, **said)) == "floor.may_not"
    assert rows() == before


@pytest.mark.parametrize(
    ("wish", "code"),
    [
        (Wish.FINISH, "floor.not_now"),
        (Wish.LOAD, "floor.not_now"),
        (Wish.TAKE_OUT, "floor.not_now"),
    ],
)
def test_what_does_not_fit_the_state_changes_nothing(
    shop: make.Shop, body: Part, wish: Wish, code: str
) -> None:
    before = rows()
    assert code_of(shop.scan(wish, body)) == code
    assert rows() == before
    assert Event.objects.get().refusal == code


def test_what_is_done_says_when_and_by_whom(shop: make.Shop, body: Part) -> None:
    step = shop.step_of(body)
    assert step
    shop.do(step)
    done_at = shop.now
    shop.later(hours=1)
    verdict = shop.scan(Wish.FINISH, body, step=step, by="finisher")
    assert verdict.refusal
    assert verdict.refusal.code == "floor.already_done"
    assert verdict.refusal.words == {
        "operation": "Saw",
        "finished_at": done_at.isoformat(),
        "person": "Joiner Cast",
    }


def test_the_same_event_again_is_the_same_answer(shop: make.Shop, body: Part) -> None:
    """An accepted one stays accepted, though the step has long moved on."""
    step, event_id = shop.step_of(body), uuid4()
    assert step
    first = shop.scan(Wish.START, body, step=step, event_id=event_id)
    shop.must(Wish.FINISH, step)
    before = rows()
    shop.later(hours=4)
    again = shop.scan(Wish.START, body, step=step, event_id=event_id)
    assert (again.accepted, again.repeated, again.seq) == (True, True, first.seq)
    assert again.happened_at == first.happened_at
    assert rows() == before
    assert Event.objects.count() == 2


def test_a_refusal_stays_a_refusal_when_sent_again(shop: make.Shop, body: Part) -> None:
    step, event_id = shop.step_of(body), uuid4()
    assert step
    first = shop.scan(Wish.FINISH, body, step=step, event_id=event_id)
    assert shop.scan(Wish.START, body, step=step).accepted
    again = shop.scan(Wish.FINISH, body, step=step, event_id=event_id)
    assert (again.accepted, again.repeated) == (False, True)
    assert again.refusal == first.refusal
    assert shop.scan(Wish.FINISH, body, step=step).accepted


@pytest.mark.parametrize(
    "change",
    [
        {"wish": Wish.HOLD, "reason": "knot"},
        {"by": "lead"},
        {"at": "BENCH"},
        {"readings": []},
        {"part": "P0000000"},
    ],
    ids=["wish", "person", "station", "data", "code"],
)
def test_one_id_with_another_content_is_refused(
    shop: make.Shop, body: Part, change: dict[str, Any]
) -> None:
    event_id = uuid4()
    shop.scan(Wish.START, body, event_id=event_id)
    before = rows()
    with pytest.raises(Refused) as refused:
        shop.scan(**{"wish": Wish.START, "part": body, "event_id": event_id, **change})
    assert refused.value.refusal.code == "floor.other_content"
    assert rows() == before
    first = Event.objects.get(event_id=event_id)
    assert (first.kind, first.accepted) == ("START", True)


@pytest.mark.proof("R4")
def test_r4_that_one_id_came_with_two_contents_is_seen(
    shop: make.Shop, body: Part, caplog: pytest.LogCaptureFixture
) -> None:
    """R4: nothing is changed, and one row and a line of the log tell of it."""
    event_id = uuid4()
    shop.scan(Wish.START, body, event_id=event_id)
    before = rows()
    for _ in range(3):
        with pytest.raises(Refused):
            shop.scan(Wish.HOLD, body, event_id=event_id, by="finisher", reason="knot")
    assert rows() == before
    first, told = Event.objects.order_by("seq")
    assert (told.kind, told.accepted) == ("HOLD", False)
    assert told.refusal == "floor.other_content"
    assert told.data == {"reason": "knot", "first": str(event_id), "words": {}}
    assert (told.instrument, told.person) == (body.instrument, shop.cast.finisher)
    assert (told.previous_digest, told.digest) == (first.digest, digest_of(told))
    assert audit.check_instrument(instrument_id=body.instrument_id).differences == ()
    (line, *_) = caplog.messages
    assert f"event {event_id} of Finisher Cast at SAW" in line
    page = Tablet(shop, "SAW", by="lead").open(f"/instrument/{body.instrument.serial}/")
    assert "floor.other_content" in page.page.get_text()
    # The first is still answered as it was.
    again = shop.scan(Wish.START, body, event_id=event_id)
    assert (again.accepted, again.repeated, again.seq) == (True, True, first.seq)


def test_an_id_that_came_with_an_unknown_code_is_not_used_again(
    shop: make.Shop, body: Part
) -> None:
    event_id = uuid4()
    assert not shop.scan(Wish.START, "P0000000", at="SAW", event_id=event_id).accepted
    again = shop.scan(Wish.START, "P0000000", at="SAW", event_id=event_id)
    assert (again.repeated, code_of(again)) == (True, "floor.unknown_code")
    with pytest.raises(Refused) as refused:
        shop.scan(Wish.START, body, at="SAW", event_id=event_id)
    assert refused.value.refusal.code == "floor.other_content"
    assert not Event.objects.filter(accepted=True).exists()


@pytest.mark.parametrize("code", ["P0000000", "rubbish", "", "W9999999", "🎸" * 70])
def test_an_unknown_code_is_kept_as_it_was_read(shop: make.Shop, code: str) -> None:
    before = rows()
    verdict = shop.scan(Wish.START, code, at="SAW")
    assert (verdict.accepted, verdict.bench, verdict.part_id) == (False, None, None)
    assert code_of(verdict) == "floor.unknown_code"
    event = Event.objects.get()
    assert (event.code, event.refusal) == (code[:64], "floor.unknown_code")
    assert (event.instrument, event.part, event.step) == (None, None, None)
    assert (event.previous_digest, event.digest) == ("", digest_of(event))
    assert rows() == before


def test_what_was_written_down_counts_when_it_happened(
    shop: make.Shop, body: Part
) -> None:
    """A part came out of the drying room in time; the network came back later."""
    shop.work(body, until="Dry")
    dry = shop.step_of(body)
    assert dry
    shop.must(Wish.LOAD, dry)
    dry.refresh_from_db()
    assert dry.dwell_until
    out_at = dry.dwell_until + timedelta(hours=1)
    shop.now = out_at + timedelta(hours=30)
    shop.check(dry)
    verdict = shop.scan(Wish.TAKE_OUT, body, step=dry, when=out_at)
    assert verdict.accepted
    event = Event.objects.get(pk=verdict.seq)
    assert (event.came_late, event.happened_at, event.recorded_at) == (
        True,
        out_at,
        shop.now,
    )
    dry.refresh_from_db()
    assert dry.finished_at == out_at
    glue = shop.step_of(body)
    assert glue
    assert glue.ready_at == out_at


def test_a_late_event_is_judged_by_the_gates_of_its_time(
    shop: make.Shop, body: Part
) -> None:
    """Now the dwell is over, but when it happened it was not."""
    shop.work(body, until="Dry")
    dry = shop.step_of(body)
    assert dry
    shop.must(Wish.LOAD, dry)
    dry.refresh_from_db()
    assert dry.dwell_until
    too_early = dry.dwell_until - timedelta(minutes=1)
    shop.now = dry.dwell_until + timedelta(days=2)
    verdict = shop.scan(Wish.TAKE_OUT, body, step=dry, when=too_early)
    assert code_of(verdict) == "floor.still_dwelling"
    event = Event.objects.get(pk=verdict.seq)
    assert (event.accepted, event.came_late) == (False, True)


def test_a_late_event_that_contradicts_is_kept_refused(
    shop: make.Shop, body: Part
) -> None:
    step = shop.step_of(body)
    assert step
    shop.do(step)
    before = rows()
    shop.later(hours=6)
    verdict = shop.scan(
        Wish.FINISH, body, step=step, by="finisher", when=shop.now - timedelta(hours=9)
    )
    assert code_of(verdict) == "floor.already_done"
    assert Event.objects.get(pk=verdict.seq).came_late
    assert rows() == before


@pytest.mark.parametrize(("minutes", "late"), [(0, False), (2, False), (2.1, True)])
def test_a_scan_is_late_after_two_minutes(
    shop: make.Shop, body: Part, minutes: float, late: bool
) -> None:
    shop.scan(Wish.START, body, when=shop.now - timedelta(minutes=minutes))
    assert Event.objects.get().came_late is late


def test_a_scan_names_what_it_means_by_any_of_its_labels(
    shop: make.Shop, body: Part
) -> None:
    """A body is known by its tag, its set's card and each piece's label."""
    assert body.plank_set
    pieces = list(body.plank_set.pieces.values_list("code", flat=True))
    step = shop.step_of(body)
    assert step
    for code in (body.code, body.plank_set.code, *pieces):
        verdict = shop.scan(Wish.HOLD, code, at="SAW", reason="knot", only_part=True)
        assert (verdict.part_id, verdict.step_id) == (body.pk, step.pk)


def test_the_instruments_own_tag_means_what_is_due_here(
    shop: make.Shop, body: Part
) -> None:
    """Body and neck are both ready at the saw; work that has begun comes first."""
    instrument = body.instrument
    whole = shop.part(instrument, "ASSEMBLY")
    neck = shop.part(instrument, "NECK")
    assert shop.scan(Wish.START, neck, at="SAW").accepted
    verdict = shop.scan(Wish.FINISH, whole, at="SAW")
    assert (verdict.accepted, verdict.part_id) == (True, neck.pk)
    verdict = shop.scan(Wish.START, whole, at="SAW")
    assert (verdict.accepted, verdict.part_id) == (True, body.pk)
    verdict = shop.scan(Wish.START, whole, at="BOOTH")
    assert verdict.refusal
    assert verdict.refusal.code == "floor.comes_later"
    assert verdict.refusal.words["open"] == "Saw, Fret"


def test_a_part_that_is_all_done_means_the_assembly(
    shop: make.Shop, body: Part
) -> None:
    instrument = body.instrument
    for branch in ("BODY", "NECK"):
        shop.work(shop.part(instrument, branch))
    verdict = shop.scan(Wish.START, body, at="BENCH")
    whole = shop.part(instrument, "ASSEMBLY")
    assert (verdict.accepted, verdict.part_id) == (True, whole.pk)
