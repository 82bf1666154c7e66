"""Is a part that is scrapped made anew, of other wood, while its mates wait?"""

from collections.abc import Iterable
from typing import Any
from uuid import uuid4

import pytest

from tests import make
from travelers.floor import queries
from travelers.floor.models import Event
from travelers.floor.queries import audit
from travelers.floor.rules import State, Wish
from travelers.formulas import codes
from travelers.lumber.models import PlankSet
from travelers.orders.models import Allotment, Instrument, Part, Step
from travelers.orders.queries import parts_wanting_wood, wood_instead

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


def scrap(shop: make.Shop, part: Part, *, by: str = "qa", reason: str = "split"):
    """Have a part scrapped and made anew, at the step where it stands."""
    bench = queries.bench_of(found=found(part))
    step = queries.at_hand(bench=bench, part_id=part.pk)
    row = Step.objects.get(pk=step.id)
    return shop.scan(Wish.REPLACE, part, by=by, step=row, at="", reason=reason)


def found(part: Part) -> Any:
    here = queries.find_bench(code=part.code)
    assert here
    return here


def anew(shop: make.Shop, part: Part) -> Part:
    verdict = scrap(shop, part)
    assert verdict.accepted, verdict.refusal
    return Part.objects.get(instead_of=part)


def give(shop: make.Shop, part: Part, wood: PlankSet, *, by: str = "planner"):
    return shop.scan(Wish.WOOD, part, by=by, at="", set=wood.pk)


def refused(verdict: Any) -> str:
    assert verdict.refusal, "it was accepted"
    return str(verdict.refusal.code)


def agrees(*instruments: Instrument) -> None:
    """Hold the rows against the fold of each instrument's ledger."""
    for one in instruments or Instrument.objects.all():
        checked = audit.check_instrument(instrument_id=one.pk)
        assert not checked.differences, checked.differences


def states(part: Part) -> set[str]:
    return set(part.steps.values_list("state", flat=True))


STANDS: tuple[tuple[str, str, str], ...] = (
    # The part, the operation before which it is scrapped, what it had behind it.
    ("BODY", "Saw", "nothing"),
    ("BODY", "Glue", "two operations"),
    ("BODY", "Lacquer", "a glued blank"),
    ("BODY", "", "its whole way, it waits at the joint"),
    ("NECK", "Fret", "one operation"),
    ("NECK", "", "its whole way"),
    ("ELECTRONICS", "Solder", "nothing, and no wood"),
)


@pytest.mark.parametrize(("branch", "until", "behind"), STANDS)
def test_wherever_it_stands_it_is_made_anew(
    shop: make.Shop, branch: str, until: str, behind: str
) -> None:
    instrument = shop.instrument()
    old = shop.part(instrument, branch)
    shop.work(old, until=until)
    mates = list(instrument.parts.exclude(pk=old.pk))
    before = {mate.pk: list(mate.steps.values_list("state")) for mate in mates}
    new = anew(shop, old)
    old.refresh_from_db()
    instrument.refresh_from_db()
    assert instrument.state == "OPEN"
    assert (old.scrapped_at, old.stage, old.look) == (shop.now, None, None)
    assert states(old) <= {"DONE", "VOID"}
    assert (new.branch, new.instrument) == (old.branch, instrument)
    copied = ("operation_id", "repeat", "stage_id", "station_id")
    first = old.steps.filter(turn=0).order_by("position")
    assert list(new.steps.order_by("position").values_list(*copied)) == list(
        first.values_list(*copied)
    )
    wooden = branch != "ELECTRONICS"
    assert new.wants_wood is wooden
    assert states(new) == ({"WAITING"} if wooden else {"READY"})
    assert {pk: list(Part.objects.get(pk=pk).steps.values_list("state"))
            for pk in before} == before  # fmt: skip
    agrees()


def test_mates_go_on_and_wait_at_the_join(shop: make.Shop) -> None:
    instrument = shop.instrument()
    body, neck = (shop.part(instrument, one) for one in ("BODY", "NECK"))
    shop.work(body)
    shop.work(neck, until="Fret")
    new = anew(shop, body)
    shop.work(neck)
    neck.refresh_from_db()
    assert states(neck) == {"DONE"}
    join = Step.objects.get(part__branch="ASSEMBLY", operation__name="Neck joint")
    assert join.state == State.WAITING
    assert neck.look == "WAITING"
    assert refused(shop.scan(Wish.START, neck, step=join)) == "floor.comes_later"
    assert give(shop, new, shop.plank_set()).accepted
    shop.work(new)
    join.refresh_from_db()
    assert join.state == State.READY
    shop.must(Wish.START, join)
    assert (
        refused(shop.scan(Wish.MATE, neck, step=join, mate=body.code))
        == "floor.not_a_mate"
    )
    for mate in (new, neck):
        shop.must(Wish.MATE, join, mate=mate.code)
    shop.must(Wish.FINISH, join)
    agrees()


def test_a_join_that_was_ready_waits_again(shop: make.Shop) -> None:
    instrument = shop.instrument()
    body, neck = (shop.part(instrument, one) for one in ("BODY", "NECK"))
    shop.work(body)
    shop.work(neck)
    join = Step.objects.get(part__branch="ASSEMBLY", operation__name="Neck joint")
    assert join.state == State.READY
    anew(shop, neck)
    join.refresh_from_db()
    assert (join.state, join.ready_at) == (State.WAITING, None)
    agrees()


def test_nothing_of_it_begins_before_its_wood_is_there(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    new = anew(shop, body)
    assert [row.code for row in parts_wanting_wood()] == [new.code]
    assert refused(shop.scan(Wish.START, new)) == "floor.wants_wood"
    wood = shop.plank_set()
    shop.later(days=2)
    verdict = give(shop, new, wood)
    assert verdict.accepted, verdict.refusal
    new.refresh_from_db()
    assert (new.plank_set, new.wants_wood) == (wood, False)
    first = new.steps.order_by("position")[0]
    assert (first.state, first.ready_at) == (State.READY, shop.now)
    assert parts_wanting_wood() == ()
    assert shop.scan(Wish.START, new).accepted
    agrees()


def test_the_old_wood_stays_promised_and_the_new_beside_it(shop: make.Shop) -> None:
    instrument = shop.instrument()
    body = shop.part(instrument)
    wood = shop.plank_set()
    give(shop, anew(shop, body), wood)
    rows = Allotment.objects.filter(branch="BODY").order_by("turn")
    assert [(row.plank_set, row.position, row.turn) for row in rows] == [
        (body.plank_set, 1, 0),
        (wood, 1, 1),
    ]


def test_twice_the_same_branch(shop: make.Shop) -> None:
    """The second body is scrapped too; the third is the one that counts."""
    instrument = shop.instrument()
    second = anew(shop, shop.part(instrument))
    give(shop, second, shop.plank_set())
    shop.work(second, until="Lacquer")
    third = anew(shop, second)
    give(shop, third, shop.plank_set())
    shop.work(third)
    for branch in ("NECK", "ELECTRONICS"):
        shop.work(shop.part(instrument, branch))
    shop.work(shop.part(instrument, "ASSEMBLY"))
    instrument.refresh_from_db()
    assert instrument.state == "FINISHED"
    assert Part.objects.filter(instrument=instrument, branch="BODY").count() == 3
    assert Allotment.objects.filter(branch="BODY").count() == 3
    agrees()


def test_one_that_wants_wood_can_be_scrapped_too(shop: make.Shop) -> None:
    new = anew(shop, shop.part(shop.instrument()))
    third = anew(shop, new)
    assert third.wants_wood
    agrees()


NOT_GOOD: tuple[tuple[str, str, str], ...] = (
    ("another branch", "NECK", "orders.set_does_not_suit"),
    ("held by QA", "BODY", "orders.set_held"),
    ("taken", "BODY", "orders.set_taken"),
)


@pytest.mark.parametrize(("what", "purpose", "code"), NOT_GOOD)
def test_wood_that_is_not_good_for_it(
    shop: make.Shop, what: str, purpose: str, code: str
) -> None:
    new = anew(shop, shop.part(shop.instrument()))
    wood = shop.plank_set(purpose)
    if what == "held by QA":
        PlankSet.objects.filter(pk=wood.pk).update(held_since=shop.now)
    if what == "taken":
        wood = shop.part(shop.instrument()).plank_set or wood
    before = rows()
    assert refused(give(shop, new, wood)) == code
    assert rows() == before


def rows() -> list[Any]:
    return [
        list(model.objects.order_by("pk").values())
        for model in (Instrument, Part, Step, Allotment)
    ]


def test_wood_is_given_once(shop: make.Shop) -> None:
    new = anew(shop, shop.part(shop.instrument()))
    give(shop, new, shop.plank_set())
    first = new.steps.order_by("position")[0]
    verdict = shop.scan(
        Wish.WOOD, new, by="planner", step=first, at="", set=shop.plank_set().pk
    )
    assert refused(verdict) == "floor.not_now"
    second = new.steps.order_by("position")[1]
    verdict = shop.scan(
        Wish.WOOD, new, by="planner", step=second, at="", set=shop.plank_set().pk
    )
    assert refused(verdict) == "floor.no_wood_wanted"
    agrees()


@pytest.mark.parametrize("by", ["joiner", "lead", "planner"])
def test_only_qa_scraps(shop: make.Shop, by: str) -> None:
    body = shop.part(shop.instrument())
    before = rows()
    assert refused(scrap(shop, body, by=by)) == "floor.may_not"
    assert rows() == before


@pytest.mark.parametrize("by", ["joiner", "lead"])
def test_only_who_plans_gives_wood(shop: make.Shop, by: str) -> None:
    new = anew(shop, shop.part(shop.instrument()))
    wood = shop.plank_set()
    before = rows()
    assert refused(give(shop, new, wood, by=by)) == "floor.may_not"
    assert rows() == before


def test_it_needs_a_reason(shop: make.Shop) -> None:
    verdict = scrap(shop, shop.part(shop.instrument()), reason="  ")
    assert refused(verdict) == "floor.reason_missing"


def test_what_is_joined_is_not_made_anew(shop: make.Shop) -> None:
    instrument = shop.instrument()
    for branch in ("BODY", "NECK"):
        shop.work(shop.part(instrument, branch))
    join = Step.objects.get(part__branch="ASSEMBLY", operation__name="Neck joint")
    shop.must(Wish.START, join)
    for branch, code in (
        ("BODY", "floor.anew_joined"),
        ("NECK", "floor.anew_joined"),
        ("ASSEMBLY", "floor.anew_assembly"),
    ):
        assert refused(scrap(shop, shop.part(instrument, branch))) == code
    electronics = shop.part(instrument, "ELECTRONICS")
    assert scrap(shop, electronics).accepted
    agrees()


def test_what_is_joined_may_be_scrapped_whole(shop: make.Shop) -> None:
    instrument = shop.instrument()
    body = shop.part(instrument)
    new = anew(shop, body)
    step = new.steps.order_by("position")[0]
    assert shop.scan(Wish.SCRAP, new, by="qa", step=step, reason="no wood").accepted
    instrument.refresh_from_db()
    assert instrument.state == "SCRAPPED"
    assert parts_wanting_wood() == ()
    agrees()


OF_THE_OLD: tuple[tuple[Wish, str, dict[str, Any]], ...] = (
    (Wish.START, "joiner", {}),
    (Wish.FINISH, "joiner", {}),
    (Wish.DEFECT, "joiner", {"kind": "TEAR_OUT"}),
    (Wish.HOLD, "lead", {"reason": "look"}),
    (Wish.REWORK, "qa", {"operations": [], "reason": "x"}),
    (Wish.REPLACE, "qa", {"reason": "again"}),
    (Wish.WOOD, "planner", {"set": 1}),
)


@pytest.mark.parametrize(("wish", "by", "data"), OF_THE_OLD)
def test_of_the_old_one_nothing_is_wished_any_more(
    shop: make.Shop, wish: Wish, by: str, data: dict[str, Any]
) -> None:
    old = shop.part(shop.instrument())
    shop.work(old, until="Lacquer")
    new = anew(shop, old)
    before = rows()
    verdict = shop.scan(wish, old.code, by=by, at="SAW", **data)
    assert refused(verdict) == "floor.part_scrapped"
    assert verdict.refusal
    assert verdict.refusal.words["code"] == codes.grouped(new.code)
    assert rows() == before
    agrees()


def test_a_hold_on_the_old_one_is_lifted_still(shop: make.Shop) -> None:
    old = shop.part(shop.instrument())
    hold = shop.scan(Wish.HOLD, old, by="lead", reason="look", only_part=True)
    new = anew(shop, old)
    old.refresh_from_db()
    assert old.held_at
    assert new.held_at is None
    lifted = shop.scan(
        Wish.LIFT, old.code, by="qa", at="", hold=str(hold.event_id), reason="gone"
    )
    assert lifted.accepted, lifted.refusal
    old.refresh_from_db()
    assert old.held_at is None
    agrees()


def test_the_old_ones_hold_does_not_stop_the_instrument(shop: make.Shop) -> None:
    instrument = shop.instrument()
    old = shop.part(instrument)
    shop.scan(Wish.HOLD, old, by="lead", reason="look", only_part=True)
    new = anew(shop, old)
    give(shop, new, shop.plank_set())
    for part in (new, shop.part(instrument, "NECK")):
        shop.work(part)
    join = Step.objects.get(part__branch="ASSEMBLY", operation__name="Neck joint")
    assert shop.scan(Wish.START, new, step=join).accepted
    agrees()


def test_sent_twice_it_is_made_anew_once(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    step, event_id = body.steps.order_by("position")[0], uuid4()
    first, again = (
        shop.scan(
            Wish.REPLACE, body, by="qa", step=step, event_id=event_id, at="", reason="x"
        )
        for _ in range(2)
    )
    assert (first.accepted, again.accepted, again.repeated) == (True, True, True)
    assert Part.objects.filter(branch="BODY").count() == 2
    agrees()


def test_a_new_part_is_swapped_as_any_other(shop: make.Shop) -> None:
    one, other = shop.instruments(2)
    new = anew(shop, shop.part(one))
    theirs = shop.part(other)

    def swap(mine: Part, to: Part, of: Instrument, into: Instrument) -> Any:
        told = {"of": of.serial, "to": into.serial, "reason": "suits better"}
        return shop.scan(Wish.SWAP, mine, by="qa", at="", **{"with": to.code, **told})

    assert refused(swap(new, theirs, one, other)) == "floor.wants_wood"
    give(shop, new, shop.plank_set())
    shop.work(new, until="Glue")
    assert swap(new, theirs, one, other).accepted
    new.refresh_from_db()
    assert new.instrument == other
    turns = dict(Allotment.objects.values_list("plank_set_id", "turn"))
    assert (turns[new.plank_set_id or 0], turns[theirs.plank_set_id or 0]) == (0, 1)
    agrees()
    third = anew(shop, Part.objects.get(pk=theirs.pk))
    assert third.instrument == one
    agrees()
    old = Part.objects.get(made_instead=new)
    assert refused(swap(old, new, one, other)) == "floor.part_scrapped"
    agrees()


def test_an_undo_of_its_mate_reckons_with_it(shop: make.Shop) -> None:
    """The fold of what stands must lay the new part down as the door did."""
    instrument = shop.instrument()
    body, neck = (shop.part(instrument, one) for one in ("BODY", "NECK"))
    started = shop.scan(Wish.START, neck)
    new = anew(shop, body)
    give(shop, new, shop.plank_set())
    begun = shop.scan(Wish.START, new)
    for part, event in ((neck, started), (new, begun)):
        undone = shop.scan(
            Wish.UNDO, part, by="lead", event=str(event.event_id), reason="slip"
        )
        assert undone.accepted, undone.refusal
        agrees()
    new.refresh_from_db()
    assert (new.wants_wood, states(new)) == (False, {"READY", "WAITING"})


def test_what_was_done_to_the_old_one_stays(shop: make.Shop) -> None:
    old = shop.part(shop.instrument())
    sawn = shop.scan(Wish.START, old)
    anew(shop, old)
    undone = shop.scan(
        Wish.UNDO, old.code, by="lead", at="", event=str(sawn.event_id), reason="slip"
    )
    assert refused(undone) == "floor.part_scrapped"
    agrees()


FORGED: tuple[tuple[str, dict[str, Any], str], ...] = (
    ("it is of no other", {"instead_of": None}, "instead_of_id"),
    ("its tag is another", {"code": "P0000000"}, "code"),
    ("it is not scrapped", {"scrapped_at": make.MORNING}, "scrapped_at"),
)


@pytest.mark.parametrize(("what", "columns", "field"), FORGED)
def test_rows_that_say_otherwise_are_found(
    shop: make.Shop, what: str, columns: dict[str, Any], field: str
) -> None:
    new = anew(shop, shop.part(shop.instrument()))
    changed = {"stage": None, "look": None, "since": None} | columns
    if "scrapped_at" not in columns:
        changed = columns
    Part.objects.filter(pk=new.pk).update(**changed)
    assert field in differing(new)


def test_other_wood_than_was_told_is_found(shop: make.Shop) -> None:
    new = anew(shop, shop.part(shop.instrument()))
    give(shop, new, shop.plank_set())
    Part.objects.filter(pk=new.pk).update(plank_set=shop.plank_set())
    assert "plank_set_id" in differing(new)


def differing(part: Part) -> Iterable[str]:
    checked = audit.check_instrument(instrument_id=part.instrument_id)
    return {one.field for one in checked.differences}


def test_the_best_match_comes_first(shop: make.Shop) -> None:
    """Of sets that suit alike, that of the old one's density is first."""
    instrument = shop.instrument()
    body = shop.part(instrument)
    light, like, heavy = (shop.plank_set() for _ in range(3))
    for wood, grams in ((light, 1500), (like, 2805), (heavy, 4200)):
        wood.pieces.update(mass_g=grams)
    assert body.plank_set
    body.plank_set.pieces.update(mass_g=2800)
    new = anew(shop, body)
    page = wood_instead(serial=instrument.serial, code=new.code)
    assert page
    assert page.before
    assert page.before.number == body.plank_set.number
    assert [one.number for one in page.suiting][:1] == [like.number]
    assert {one.number for one in page.suiting} == {
        one.number for one in (light, like, heavy)
    }
    assert wood_instead(serial=instrument.serial, code=body.code) is None


def test_the_ledger_tells_what_was_made(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    shop.work(body, until="Glue")
    new = anew(shop, body)
    told = Event.objects.get(kind=Wish.REPLACE).data
    assert told["made"]["part"] == new.pk
    names = {row.operation_id: row.operation.name for row in new.steps.all()}
    assert [names[one] for one in told["again"]] == ["Saw", "Dry", "Glue"]
