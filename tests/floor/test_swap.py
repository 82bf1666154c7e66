"""When QA swaps a part between two instruments, what goes with it, and what is told?"""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest

from tests import make
from tests.floor.story import at, code_of, must_swap, report, swap, take_back
from tests.standing import kept
from travelers.floor.actions import take_back as take_back_with_all
from travelers.floor.models import Event, Hold
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.kit import words
from travelers.orders.models import Allotment, Instrument, Part, Step, WorkOrder
from travelers.quality.rules import Severity
from travelers.routes.actions import release_revision

pytestmark = pytest.mark.django_db


@kept
def two(shop: make.Shop) -> tuple[Instrument, Instrument]:
    one, other = shop.instruments(2)
    return one, other


def agree() -> None:
    for pk in audit.instrument_ids():
        differences = audit.check_instrument(instrument_id=pk).differences
        assert [str(each) for each in differences] == []


def moved(part: Part) -> list[Any]:
    """Give all that a part is, but for the instrument that it is in."""
    steps = Step.objects.filter(part=part).order_by("position")
    return [
        part.code,
        part.plank_set_id,
        list(steps.values_list("pk", "state", "started_at", "finished_at")),
        list(part.holds.values_list("pk", "reason", "lifted")),
        list(part.defects.values_list("pk")),
        list(part.events.values_list("seq").order_by("seq")),
    ]


def test_both_parts_go_over_with_all_that_they_are(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    one, other = two
    mine, theirs = shop.part(one, "BODY"), shop.part(other, "BODY")
    at(shop, mine, "Machine")
    shop.work(theirs, until="Dry")
    shop.scan(Wish.HOLD, mine, reason="small knot", only_part=True)
    before = moved(mine)[:5], moved(theirs)[:5]
    must_swap(shop, mine, theirs)
    for part, owner in ((mine, other), (theirs, one)):
        part.refresh_from_db()
        assert part.instrument == owner
        assert set(part.steps.values_list("instrument", flat=True)) == {owner.pk}
        assert set(part.holds.values_list("instrument", flat=True)) <= {owner.pk}
        place = Allotment.objects.get(plank_set=part.plank_set)
        assert (place.order, place.position) == (owner.order, owner.position)
    assert (moved(mine)[:5], moved(theirs)[:5]) == before
    assert mine.held_at
    agree()


def test_each_ledger_names_the_other_and_how_the_part_came(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    one, other = two
    mine, theirs = shop.part(one, "NECK"), shop.part(other, "NECK")
    at(shop, theirs, "Fret")
    verdict = must_swap(shop, mine, theirs)
    here, there = Event.objects.filter(kind="SWAP").order_by("seq")
    assert (here.seq, here.event_id) == (verdict.seq, verdict.event_id)
    assert [here.instrument, there.instrument] == [one, other]
    assert [here.part, there.part] == [mine, theirs]
    for event, twin, gone, came in (
        (here, there, mine, theirs),
        (there, here, theirs, mine),
    ):
        said = event.data
        assert said["other"] == {
            "instrument": twin.instrument_id,
            "serial": twin.instrument and twin.instrument.serial,
            "event": str(twin.event_id),
        }
        assert said["outgoing"] == {"part": gone.pk, "code": gone.code}
        assert said["incoming"]["part"] == came.pk
        assert said["reason"] == "runout, suits the other body"
        told = [step["state"] for step in said["incoming"]["steps"]]
        now = Step.objects.filter(part=came).order_by("position")
        assert told == list(now.values_list("state", flat=True))
    agree()


def test_the_same_word_again_is_answered_again(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    mine, theirs = (shop.part(one, "NECK") for one in two)
    event_id = uuid4()
    said = {
        "with": theirs.code, "of": two[0].serial, "to": two[1].serial, "reason": "knot",
    }  # fmt: skip
    first = shop.scan(Wish.SWAP, mine, by="qa", event_id=event_id, **said)
    again = shop.scan(Wish.SWAP, mine, by="qa", event_id=event_id, **said)
    assert (first.accepted, again.accepted, again.repeated) == (True, True, True)
    assert Event.objects.count() == 2
    # Another word with what was shown before is no word to swap them back.
    later = shop.scan(Wish.SWAP, mine, by="qa", **said)
    assert code_of(later) == "floor.swap_outdated"
    mine.refresh_from_db()
    assert mine.instrument == two[1]
    agree()


def test_swapped_back_all_is_where_it_was(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    mine, theirs = (shop.part(one, "BODY") for one in two)
    at(shop, mine, "Machine")
    rows = list(Step.objects.order_by("pk").values())
    parts = list(Part.objects.order_by("pk").values())
    must_swap(shop, mine, theirs)
    must_swap(shop, mine, theirs)
    assert list(Step.objects.order_by("pk").values()) == rows
    assert list(Part.objects.order_by("pk").values()) == parts
    agree()


def test_a_join_wants_the_new_pair_and_refuses_the_old(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    """The finished neck of the one goes to the finished body of the other."""
    one, other = two
    mine, theirs = shop.part(one, "NECK"), shop.part(other, "NECK")
    for part in (mine, shop.part(other, "BODY")):
        shop.work(part)
    joint = Step.objects.get(instrument=other, operation__name="Neck joint")
    assert joint.state == "WAITING"
    must_swap(shop, mine, theirs)
    joint.refresh_from_db()
    assert (joint.state, joint.ready_at) == ("READY", shop.now)
    shop.must(Wish.START, joint)
    old = shop.scan(Wish.MATE, joint.part, step=joint, mate=theirs.code)
    assert code_of(old) == "floor.wrong_mate"
    for mate in (mine, shop.part(other, "BODY")):
        shop.must(Wish.MATE, joint, mate=mate.code)
    shop.must(Wish.FINISH, joint)
    agree()


def test_what_was_ready_waits_again_when_a_part_comes_that_is_less_far(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    one, other = two
    for branch in ("BODY", "NECK"):
        shop.work(shop.part(one, branch))
    joint = Step.objects.get(instrument=one, operation__name="Neck joint")
    assert joint.state == "READY"
    must_swap(shop, shop.part(one, "NECK"), shop.part(other, "NECK"))
    joint.refresh_from_db()
    assert (joint.state, joint.ready_at) == ("WAITING", None)
    agree()


def test_a_scan_of_the_tag_works_in_the_new_instrument(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    one, other = two
    mine, theirs = shop.part(one, "BODY"), shop.part(other, "BODY")
    must_swap(shop, mine, theirs)
    scanned = shop.scan(Wish.START, mine)
    assert scanned.accepted
    assert scanned.bench
    assert scanned.bench.serial == other.serial
    assert Event.objects.get(pk=scanned.seq).instrument == other
    agree()


def test_what_a_tablet_tells_late_is_judged_where_the_part_is_now(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    """It was done before the swap, and heard of after it."""
    one, other = two
    mine, theirs = shop.part(one, "BODY"), shop.part(other, "BODY")
    step, done_at = shop.step_of(mine), shop.now
    shop.later(hours=1)
    must_swap(shop, mine, theirs)
    shop.later(hours=1)
    late = shop.scan(Wish.START, mine, step=step, when=done_at)
    assert late.accepted
    event = Event.objects.get(pk=late.seq)
    assert (event.instrument, event.came_late) == (other, True)
    agree()


def test_a_hold_goes_along_and_is_lifted_in_the_new_instrument(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    """So does the hold of a defect that says stop, and its rework."""
    one, other = two
    mine, theirs = shop.part(one, "BODY"), shop.part(other, "BODY")
    step = at(shop, mine, "Machine")
    shop.must(Wish.START, step)
    shop.check(step)
    report(shop, step, "TEAR_OUT", Severity.STOP)
    shop.scan(Wish.HOLD, theirs, reason="wait", only_part=True)
    held = Hold.objects.get(part=mine)
    lifted = shop.scan(
        Wish.LIFT, mine, by="lead", hold=str(held.event.event_id), reason="looked at"
    )
    assert lifted.accepted
    shop.must(Wish.FINISH, step)
    again = shop.scan(Wish.HOLD, mine, reason="once more", only_part=True)
    must_swap(shop, mine, theirs)
    agree()
    refused = shop.scan(Wish.START, mine)
    assert code_of(refused) == "floor.held"
    lift = {"hold": str(again.event_id), "reason": "good"}
    old = shop.scan(Wish.LIFT, shop.part(one, "ASSEMBLY"), by="lead", **lift)
    assert code_of(old) == "floor.no_such_hold"
    assert shop.scan(
        Wish.LIFT, shop.part(other, "ASSEMBLY"), by="lead", **lift
    ).accepted
    mine.refresh_from_db()
    assert mine.held_at is None
    agree()


def test_a_part_that_was_reworked_comes_with_its_second_turn_and_gets_a_third(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    one, other = two
    mine, theirs = shop.part(one, "NECK"), shop.part(other, "NECK")
    for place in ("first", "second", "third"):
        step = at(shop, mine, "Fret")
        again = list(
            Step.objects.filter(part=mine, turn=0)
            .order_by("position")
            .values_list("operation_id", flat=True)
        )
        sent_back = shop.scan(
            Wish.REWORK, mine, step=step, by="qa", operations=again, reason=place
        )
        assert sent_back.accepted
        must_swap(shop, mine, theirs)
        agree()
    assert set(Step.objects.filter(part=mine).values_list("turn", flat=True)) == {
        *(0, 1, 2, 3)
    }


Scene = tuple[Part, Part, dict[str, Any]]


def plain(shop: make.Shop, branch: str = "BODY") -> Scene:
    one, other = shop.instruments(2)
    return shop.part(one, branch), shop.part(other, branch), {}


def by_the_lead(shop: make.Shop) -> Scene:
    return (*plain(shop)[:2], {"by": "lead"})


def without_a_reason(shop: make.Shop) -> Scene:
    return (*plain(shop)[:2], {"reason": "  "})


def no_tag(shop: make.Shop) -> Scene:
    return (*plain(shop)[:2], {"with": "P0000000"})


def the_assembly(shop: make.Shop) -> Scene:
    return plain(shop, "ASSEMBLY")


def with_itself(shop: make.Shop) -> Scene:
    mine, *_ = plain(shop)
    return mine, shop.part(mine.instrument, "NECK"), {}


def body_for_neck(shop: make.Shop) -> Scene:
    mine, theirs, _ = plain(shop)
    return mine, shop.part(theirs.instrument, "NECK"), {}


def another_revision(shop: make.Shop) -> Scene:
    mine, *_ = plain(shop)
    revision = make.draft(shop.model, shop.cast, "B")
    release_revision(revision_id=revision.pk, by=shop.cast.engineer, at=shop.now)
    return mine, shop.part(shop.instrument()), {}


def another_finish(shop: make.Shop) -> Scene:
    mine, theirs = shop.part(shop.instrument()), shop.part(shop.instrument())
    WorkOrder.objects.filter(instruments=theirs.instrument).update(finish="Clear")
    return mine, theirs, {}


def begun_join(shop: make.Shop) -> Scene:
    mine, theirs, _ = plain(shop, "NECK")
    for branch in ("BODY", "NECK"):
        shop.work(shop.part(theirs.instrument, branch))
    joint = Step.objects.get(instrument=theirs.instrument, operation__name="Neck joint")
    shop.must(Wish.START, joint)
    return mine, theirs, {}


def mine_in_work(shop: make.Shop) -> Scene:
    mine, theirs, _ = plain(shop)
    assert shop.scan(Wish.START, mine).accepted
    return mine, theirs, {}


def theirs_in_work(shop: make.Shop) -> Scene:
    theirs, mine, _ = mine_in_work(shop)
    return mine, theirs, {}


def mine_lies(shop: make.Shop) -> Scene:
    mine, theirs, _ = plain(shop)
    shop.must(Wish.LOAD, at(shop, mine, "Dry"))
    return mine, theirs, {}


def theirs_lies(shop: make.Shop) -> Scene:
    theirs, mine, _ = mine_lies(shop)
    return mine, theirs, {}


def mine_scrapped(shop: make.Shop) -> Scene:
    mine, theirs, _ = plain(shop)
    assert shop.scan(Wish.SCRAP, mine, by="qa", reason="split").accepted
    return mine, theirs, {}


def theirs_scrapped(shop: make.Shop) -> Scene:
    theirs, mine, _ = mine_scrapped(shop)
    return mine, theirs, {}


def shown_elsewhere(shop: make.Shop) -> Scene:
    mine, theirs, _ = plain(shop)
    return mine, theirs, {"to": "W99999"}


REFUSED = (
    (by_the_lead, "floor.may_not", "Lead Cast does not do this kind of work"),
    (without_a_reason, "floor.reason_missing", "A reason is needed"),
    (no_tag, "floor.unknown_code", "No part, piece or instrument here has the code"),
    (the_assembly, "floor.swap_assembly", "The assembly is W00001 itself"),
    (with_itself, "floor.swap_same", "belongs to W00001 itself."),
    (
        body_for_neck, "floor.swap_other_branch",
        "of W00002 is from the neck branch, that of W00001 from the body branch.",
    ),
    (
        another_revision, "floor.swap_other_route",
        "W00003 is built as Wren B, W00001 as Wren A.",
    ),
    (
        another_finish, "floor.swap_other_options",
        "W00002 is ordered as Clear, W00001 as Tide Green.",
    ),
    (begun_join, "floor.swap_joined", "Neck joint of W00002 was begun, and P"),
    (mine_in_work, "floor.swap_in_work", "Saw of W00001 is in work."),
    (theirs_in_work, "floor.swap_in_work", "Saw of W00001 is in work."),
    (mine_lies, "floor.swap_lies", "Dry of W00001: the part lies to dry or cure."),
    (theirs_lies, "floor.swap_lies", "Dry of W00001: the part lies to dry or cure."),
    (mine_scrapped, "floor.closed", "Instrument W00001 left the floor on"),
    (theirs_scrapped, "floor.closed", "Instrument W00001 left the floor on"),
    (shown_elsewhere, "floor.swap_outdated", "belongs to W00002 now, not to W99999."),
)  # fmt: skip


@pytest.mark.parametrize(("scene", "code", "sentence"), REFUSED)
def test_what_is_not_swapped_and_why(
    shop: make.Shop, scene: Callable[[make.Shop], Scene], code: str, sentence: str
) -> None:
    mine, theirs, more = scene(shop)
    parts = list(Part.objects.order_by("pk").values())
    told = Event.objects.count()
    verdict = swap(shop, mine, theirs, **more)
    assert verdict.refusal
    assert verdict.refusal.code == code
    assert sentence in words.sentence_of(verdict.refusal)
    assert words.remedy_of(verdict.refusal)
    # It is on record that somebody tried, and nothing moved.
    assert Event.objects.count() == told + 1
    assert list(Part.objects.order_by("pk").values()) == parts
    agree()


def test_a_join_that_was_taken_back_does_not_keep_the_parts_together(
    shop: make.Shop,
) -> None:
    mine, theirs, _ = begun_join(shop)
    take_back(shop, shop.log[-1])
    must_swap(shop, mine, theirs)
    agree()


def test_what_was_told_before_the_swap_is_not_taken_back(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    """By a touch at the bench, and at the desk on the page of either instrument."""
    one, other = two
    mine, theirs = shop.part(one, "BODY"), shop.part(other, "BODY")
    step = shop.step_of(mine)
    assert step
    shop.must(Wish.START, step)
    done = shop.must(Wish.FINISH, step)
    must_swap(shop, mine, theirs)
    touch = shop.scan(Wish.UNDO, mine, step=step, event=str(done.event_id))
    for tag in (shop.part(one, "ASSEMBLY"), shop.part(other, "ASSEMBLY")):
        desk = take_back_with_all(
            tag=tag.code,
            target_id=done.event_id,
            seen=(),
            person=shop.cast.lead,
            reason="slip",
            event_id=uuid4(),
            at=shop.now,
            heard_at=shop.now,
        )
        known = "floor.undo_swapped" if tag.instrument == one else "floor.no_such_event"
        assert code_of(desk) == known
    assert touch.refusal
    assert touch.refusal.code == "floor.undo_swapped"
    assert words.sentence_of(touch.refusal) == (
        "Saw, done: the part went to W00002 since, on 10 Mar 2026, 09:30."
    )
    agree()
    # Nor when the part has come back since.
    must_swap(shop, mine, theirs)
    again = shop.scan(Wish.UNDO, mine, step=step, event=str(done.event_id))
    assert code_of(again) == "floor.undo_swapped"
    agree()


def test_a_swap_itself_is_never_taken_back(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    mine, theirs = (shop.part(one, "NECK") for one in two)
    swapped = must_swap(shop, mine, theirs)
    tried = shop.scan(
        Wish.UNDO, shop.part(two[0], "ASSEMBLY"), by="lead",
        event=str(swapped.event_id), reason="slip",
    )  # fmt: skip
    assert code_of(tried) in ("floor.undo_swapped", "floor.never_undone")


def test_of_another_part_what_was_done_before_a_swap_can_be_taken_back(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    one, other = two
    mine, theirs = shop.part(one, "NECK"), shop.part(other, "NECK")
    at(shop, theirs, "Fret")
    body = shop.step_of(shop.part(one))
    assert body
    begun = shop.must(Wish.START, body)
    must_swap(shop, mine, theirs)
    take_back(shop, begun)
    body.refresh_from_db()
    assert body.state == "READY"
    assert shop.part(one, "NECK") == theirs
    agree()


def test_what_was_done_since_the_swap_can_be_taken_back(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    mine, theirs = (shop.part(one, "NECK") for one in two)
    must_swap(shop, mine, theirs)
    step = shop.step_of(mine)
    assert step
    take_back(shop, shop.must(Wish.START, step))
    step.refresh_from_db()
    assert step.state == "READY"
    agree()


def test_a_swap_of_a_held_part_is_no_deed_at_a_bench(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    mine, theirs = (shop.part(one, "NECK") for one in two)
    shop.scan(Wish.HOLD, mine, reason="whole instrument", only_part=False)
    must_swap(shop, mine, theirs)
    theirs.refresh_from_db()
    mine.refresh_from_db()
    assert (theirs.look, mine.look) == ("HELD", "WAITING")
    agree()
