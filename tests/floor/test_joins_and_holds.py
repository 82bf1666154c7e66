"""Do parts meet only their own, lie only where there is room, and stop when held?"""

from uuid import uuid4

import pytest

from tests import make
from tests.floor.story import allow, at, code_of
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.orders.models import Part, Step

pytestmark = pytest.mark.django_db


def test_work_is_done_where_it_belongs(shop: make.Shop, body: Part) -> None:
    verdict = shop.scan(Wish.START, body, at="CUTTER", step=at(shop, body, "Saw"))
    assert verdict.refusal
    assert verdict.refusal.code == "floor.not_here"
    assert verdict.refusal.words == {"operation": "Saw", "place": "Saw"}
    assert code_of(shop.scan(Wish.START, body, at="")) == "floor.not_here"


def test_a_full_room_takes_no_more_until_one_comes_out(shop: make.Shop) -> None:
    bodies = [shop.part(instrument) for instrument in shop.instruments(4)]
    steps = [at(shop, body, "Dry") for body in bodies]
    for step in steps[:3]:
        shop.must(Wish.LOAD, step)
    verdict = shop.scan(Wish.LOAD, bodies[3])
    assert verdict.refusal
    assert verdict.refusal.code == "floor.no_room"
    assert verdict.refusal.words == {"places": "3", "station": "Room"}
    shop.later(days=10)
    shop.check(steps[0])
    shop.must(Wish.TAKE_OUT, steps[0])
    assert shop.scan(Wish.LOAD, bodies[3]).accepted


def test_the_lead_finds_a_place_in_a_full_room(shop: make.Shop) -> None:
    bodies = [shop.part(instrument) for instrument in shop.instruments(4)]
    steps = [at(shop, body, "Dry") for body in bodies]
    for step in steps[:3]:
        shop.must(Wish.LOAD, step)
    assert allow(shop, steps[3], "floor.no_room").accepted
    assert shop.scan(Wish.LOAD, bodies[3]).accepted


def test_nothing_is_skipped(shop: make.Shop, body: Part) -> None:
    machine = Step.objects.get(part=body, operation__name="Machine")
    verdict = shop.scan(Wish.START, body, step=machine)
    assert verdict.refusal
    assert verdict.refusal.code == "floor.comes_later"
    assert verdict.refusal.words == {"operation": "Machine", "open": "Saw"}
    joint = Step.objects.get(
        part__instrument=body.instrument, operation__name="Neck joint"
    )
    shop.work(body)
    verdict = shop.scan(Wish.START, joint.part, step=joint)
    assert verdict.refusal
    assert verdict.refusal.words == {"operation": "Neck joint", "open": "Rough"}


def test_wood_of_two_sets_never_meets(shop: make.Shop) -> None:
    one, other = (shop.part(instrument) for instrument in shop.instruments(2))
    assert one.plank_set
    assert other.plank_set
    glue = at(shop, one, "Glue")
    shop.must(Wish.START, glue)
    stranger = other.plank_set.pieces.order_by("letter")[0]
    verdict = shop.scan(Wish.MATE, one, mate=stranger.code)
    assert verdict.refusal
    assert verdict.refusal.code == "floor.other_set"
    assert verdict.refusal.words == {
        "set": other.plank_set.number,
        "wanted": one.plank_set.number,
    }
    own = list(one.plank_set.pieces.order_by("letter"))
    shop.must(Wish.MATE, glue, mate=own[0].code)
    verdict = shop.scan(Wish.FINISH, one)
    assert verdict.refusal
    assert verdict.refusal.code == "floor.mates_missing"
    assert verdict.refusal.words == {"mates_words": f"{one.plank_set.number}-B"}
    shop.must(Wish.MATE, glue, mate=own[1].code)
    assert shop.scan(Wish.FINISH, one).accepted


def test_no_neck_but_its_own_is_bolted_on(shop: make.Shop) -> None:
    first, second = shop.instruments(2)
    for branch in ("BODY", "NECK", "ELECTRONICS"):
        shop.work(shop.part(first, branch))
    whole = shop.part(first, "ASSEMBLY")
    joint = at(shop, whole, "Neck joint")
    shop.must(Wish.START, joint)
    answers = {
        branch: shop.scan(Wish.MATE, whole, mate=shop.part(second, branch).code)
        for branch in ("NECK", "BODY")
    }
    for verdict in answers.values():
        assert verdict.refusal
        assert verdict.refusal.code == "floor.wrong_mate"
        assert verdict.refusal.words == {"owner": second.serial, "serial": first.serial}
    assert code_of(allow(shop, joint, "floor.wrong_mate", "qa")) == "floor.not_let_pass"
    harness = shop.part(first, "ELECTRONICS")
    assert code_of(shop.scan(Wish.MATE, whole, mate=harness.code)) == "floor.not_a_mate"
    lost = shop.scan(Wish.MATE, whole, mate="P0000000")
    assert code_of(lost) == "floor.unknown_code"
    assert code_of(shop.scan(Wish.FINISH, whole)) == "floor.mates_missing"
    for branch in ("NECK", "BODY"):
        shop.must(Wish.MATE, joint, mate=shop.part(first, branch).code)
    assert shop.scan(Wish.FINISH, whole).accepted


def test_a_held_part_lies_until_the_hold_is_lifted(shop: make.Shop, body: Part) -> None:
    hold = shop.scan(Wish.HOLD, body, reason="pitch pocket", only_part=True)
    held_at = shop.now
    shop.later(hours=1)
    verdict = shop.scan(Wish.START, body)
    assert verdict.refusal
    assert verdict.refusal.code == "floor.held"
    assert verdict.refusal.words == {
        "what": body.instrument.serial,
        "held_at": held_at.isoformat(),
        "person": "Joiner Cast",
        "reason": "pitch pocket",
    }
    body.refresh_from_db()
    assert (body.held_at, body.look) == (held_at, "HELD")
    neck = shop.part(body.instrument, "NECK")
    assert shop.scan(Wish.START, neck).accepted
    lift = {"hold": str(hold.event_id), "reason": "cut away"}
    assert code_of(shop.scan(Wish.LIFT, body, **lift)) == "floor.may_not"
    no_reason = {**lift, "reason": ""}
    assert code_of(shop.scan(Wish.LIFT, body, by="lead", **no_reason)) == (
        "floor.reason_missing"
    )
    assert shop.scan(Wish.LIFT, body, by="lead", **lift).accepted
    assert code_of(shop.scan(Wish.LIFT, body, by="lead", **lift)) == (
        "floor.no_such_hold"
    )
    body.refresh_from_db()
    assert (body.held_at, body.look) == (None, "WAITING")
    assert shop.scan(Wish.START, body).accepted


def test_a_held_instrument_is_held_in_all_its_parts(
    shop: make.Shop, body: Part
) -> None:
    shop.scan(Wish.HOLD, body, reason="order in doubt", only_part=False)
    for branch in ("BODY", "NECK", "ELECTRONICS"):
        part = shop.part(body.instrument, branch)
        assert code_of(shop.scan(Wish.START, part)) == "floor.held"
        assert part.look == "HELD"


def test_of_two_holds_the_older_is_named_and_both_must_go(
    shop: make.Shop, body: Part
) -> None:
    older = shop.scan(Wish.HOLD, body, reason="knot", only_part=True)
    shop.later(hours=1)
    newer = shop.scan(Wish.HOLD, body, reason="papers", only_part=False)
    refused = shop.scan(Wish.START, body)
    assert refused.refusal
    assert refused.refusal.words["reason"] == "knot"
    told = {"by": "qa", "reason": "seen"}
    assert shop.scan(Wish.LIFT, body, hold=str(older.event_id), **told).accepted
    refused = shop.scan(Wish.START, body)
    assert refused.refusal
    assert refused.refusal.words["reason"] == "papers"
    assert shop.scan(Wish.LIFT, body, hold=str(newer.event_id), **told).accepted
    assert shop.scan(Wish.START, body).accepted


@pytest.mark.parametrize("reason", ["", "  ", None])
def test_a_hold_has_a_reason(shop: make.Shop, body: Part, reason: str | None) -> None:
    said = {} if reason is None else {"reason": reason}
    assert code_of(shop.scan(Wish.HOLD, body, **said)) == "floor.reason_missing"


def test_a_hold_of_another_instrument_is_not_lifted_here(shop: make.Shop) -> None:
    one, other = (shop.part(instrument) for instrument in shop.instruments(2))
    hold = shop.scan(Wish.HOLD, other, reason="knot")
    for hold_id in (str(hold.event_id), str(uuid4())):
        verdict = shop.scan(Wish.LIFT, one, by="qa", hold=hold_id, reason="seen")
        assert code_of(verdict) == "floor.no_such_hold"


def test_a_held_body_is_not_joined_and_once_joined_holds_the_whole(
    shop: make.Shop, body: Part
) -> None:
    instrument = body.instrument
    for branch in ("BODY", "NECK", "ELECTRONICS"):
        shop.work(shop.part(instrument, branch))
    whole = shop.part(instrument, "ASSEMBLY")
    last = Step.objects.filter(part=body).order_by("-position")[0]
    hold = shop.scan(Wish.HOLD, body, step=last, reason="sand-through", only_part=True)
    assert hold.accepted
    assert code_of(shop.scan(Wish.START, whole)) == "floor.held"
    lift = {"hold": str(hold.event_id), "reason": "seen", "step": last}
    assert shop.scan(Wish.LIFT, body, by="qa", **lift).accepted
    shop.do(at(shop, whole, "Neck joint"))
    whole.refresh_from_db()
    assert whole.look == "WAITING"
    shop.scan(Wish.HOLD, body, step=last, reason="ding", only_part=True)
    whole.refresh_from_db()
    assert whole.look == "HELD"
    assert code_of(shop.scan(Wish.START, whole)) == "floor.held"


def test_a_finished_instrument_takes_no_more_scans(shop: make.Shop, body: Part) -> None:
    instrument = body.instrument
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(instrument, branch))
    finished_at = shop.now
    instrument.refresh_from_db()
    assert (instrument.state, instrument.closed_at) == ("FINISHED", finished_at)
    parts = Part.objects.filter(instrument=instrument)
    assert not parts.exclude(stage=None, look=None, since=None).exists()
    shop.later(days=1)
    last = Step.objects.filter(part__instrument=instrument).latest("position")
    for wish, step in ((Wish.START, None), (Wish.HOLD, None), (Wish.FINISH, last)):
        verdict = shop.scan(wish, body, step=step, at="BENCH", reason="late thought")
        assert verdict.refusal
        assert verdict.refusal.code == "floor.closed"
        assert verdict.refusal.words == {
            "serial": instrument.serial,
            "closed_at": finished_at.isoformat(),
            "how_word": "FINISHED",
        }


def test_a_scrapped_instrument_takes_no_more_scans(shop: make.Shop, body: Part) -> None:
    assert shop.scan(Wish.SCRAP, body, by="qa", reason="split").accepted
    states = set(Step.objects.values_list("state", flat=True))
    assert states == {"VOID"}
    assert not Step.objects.exclude(started_at=None).exists()
    verdict = shop.scan(Wish.START, body, at="SAW")
    assert verdict.refusal
    assert verdict.refusal.words["how_word"] == "SCRAPPED"


def test_rework_drops_the_step_and_comes_once_more(shop: make.Shop, body: Part) -> None:
    """The following steps stay as they were, and what was done stays on record."""
    machine = at(shop, body, "Machine")
    glue = Step.objects.get(part=body, operation__name="Glue")
    operations = [glue.operation_id, machine.operation_id]
    verdict = shop.scan(
        Wish.REWORK, body, by="qa", operations=operations, reason="open joint"
    )
    assert verdict.accepted
    machine.refresh_from_db()
    assert (machine.state, machine.started_at) == ("VOID", None)
    after = Step.objects.filter(part=body, turn=1).order_by("position")
    assert list(after.values_list("operation__name", "state", "ready_at")) == [
        ("Glue", "READY", shop.now),
        ("Machine", "WAITING", None),
    ]
    event = Event.objects.get(pk=verdict.seq)
    assert event.data["added"] == [step.pk for step in after]
    verdict = shop.scan(Wish.START, body, step=machine)
    assert code_of(verdict) == "floor.dropped"
    shop.work(body)
    names = Step.objects.filter(part=body, state="DONE").order_by("position")
    assert list(names.values_list("operation__name", flat=True)) == [
        *("Saw", "Dry", "Glue", "Glue", "Machine"),
        *("Lacquer", "Lacquer", "Lacquer", "Cure", "Inspect body"),
    ]
