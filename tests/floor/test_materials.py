"""Is it known of which batch and with which piece each part was made, and said so?"""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from tests import make
from tests.floor.story import at
from travelers.floor import queries
from travelers.floor.actions import (
    bring_batch,
    hold_batches,
    lift_batch_hold,
    take_batch_in,
)
from travelers.floor.models import Batch, BatchAtStation, BatchHold, Event, MaterialUse
from travelers.floor.queries import audit
from travelers.floor.queries.standing import standing_uses
from travelers.floor.rules import Wish
from travelers.kit.refusals import Refusal, Refused
from travelers.orders.models import Part, Step
from travelers.routes.models import Material, MaterialNeed

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(standing_with_uses: make.Shop) -> make.Shop:
    return standing_with_uses


@pytest.fixture
def glue(shop: make.Shop, body: Part) -> Step:
    """Give a body's glue-up that may begin, with no glue at the clamps yet."""
    return at(shop, body, "Glue")


@pytest.fixture
def solder(shop: make.Shop) -> Step:
    """Give work that is begun and builds two pickups in."""
    step = at(shop, shop.part(shop.instrument(), "ELECTRONICS"), "Solder")
    shop.must(Wish.START, step)
    return step


def refused(shop: make.Shop, wish: Wish, step: Step, code: str, **data: object) -> str:
    """Be refused, and give what is said."""
    verdict = shop.scan(wish, step.part, step=step, **data)
    assert not verdict.accepted
    assert verdict.refusal
    assert verdict.refusal.code == f"floor.{code}"
    return " ".join(verdict.refusal.words.values())


def no(call, **given: object) -> Refusal:
    with pytest.raises(Refused) as stopped:
        call(**given)
    return stopped.value.refusal


def glued(shop: make.Shop, step: Step) -> Event:
    """Do a glue-up by the book but for its glue, and give the event that ended it."""
    shop.must(Wish.START, step)
    shop.mate(step)
    return Event.objects.get(event_id=shop.must(Wish.FINISH, step).event_id)


def agrees(step: Step) -> bool:
    checked = audit.check_instrument(instrument_id=step.instrument_id)
    assert checked.differences == ()
    return True


def hold(shop: make.Shop, batch: Batch, reason: str = "smells odd"):
    uuid = uuid4()
    hold_batches(holds=[(uuid, batch.pk)], reason=reason, by=shop.cast.qa, at=shop.now)
    return uuid


def used() -> list[Batch | None]:
    return [use.batch for use in MaterialUse.objects.order_by("pk")]


def test_work_begins_only_where_a_batch_stands(shop: make.Shop, glue: Step) -> None:
    assert "Hide glue" in refused(shop, Wish.START, glue, "batch_missing")
    batch = shop.batch()
    shop.bring(batch, "CLAMPS")
    ended = glued(shop, glue)
    need = MaterialNeed.objects.get(operation=glue.operation)
    begun = Event.objects.get(step=glue, kind="START", accepted=True)
    uses = MaterialUse.objects.order_by("pk")
    for event, use in zip((begun, ended), uses, strict=True):
        (said,) = event.data["uses"]
        assert said == {"need": need.pk, "batch": batch.pk, "serial": ""}
        assert (use.event, use.need, use.batch, use.serial) == (event, need, batch, "")
    assert agrees(glue)


def test_a_batch_stays_at_its_station_for_all_parts(shop: make.Shop) -> None:
    batch = shop.batch()
    shop.bring(batch, "CLAMPS")
    for instrument in shop.instruments(2):
        glued(shop, at(shop, shop.part(instrument), "Glue"))
    assert [use.batch for use in MaterialUse.objects.all()] == [batch] * 4
    assert BatchAtStation.objects.count() == 1


def test_a_can_that_is_changed_while_work_runs_counts_like_the_one_before(
    shop: make.Shop, glue: Step
) -> None:
    first, second = shop.batch(), shop.batch()
    shop.bring(first, "CLAMPS")
    shop.must(Wish.START, glue)
    shop.mate(glue)
    shop.later(minutes=3)
    shop.bring(second, "CLAMPS")
    shop.must(Wish.FINISH, glue)
    assert used() == [first, second]
    (told,) = queries.used_in(instrument_id=glue.instrument_id)
    assert told.numbers == (first.number, second.number)


def test_work_that_is_begun_has_met_its_batch(shop: make.Shop, glue: Step) -> None:
    batch = shop.batch()
    shop.bring(batch, "CLAMPS")
    begun = shop.now
    started = shop.must(Wish.START, glue)
    met = queries.batches_met(part_ids=[glue.part_id])
    assert list(met) == [(glue.part_id, batch.pk, int(begun.timestamp()))]
    assert agrees(glue)
    shop.must(Wish.UNDO, glue, event=str(started.event_id))
    assert not list(queries.batches_met(part_ids=[glue.part_id]))
    assert agrees(glue)


def test_a_batch_at_one_station_is_not_at_another(shop: make.Shop, glue: Step) -> None:
    shop.bring(shop.batch(), "BOOTH")
    refused(shop, Wish.START, glue, "batch_missing")


def test_the_same_label_twice_is_one_coming(shop: make.Shop) -> None:
    batch = shop.batch()
    for _ in range(2):
        shop.bring(batch, "CLAMPS")
    assert BatchAtStation.objects.count() == 1
    batch.refresh_from_db()
    assert batch.opened_at == shop.now


def test_what_was_done_late_is_of_the_batch_that_stood_there_then(
    shop: make.Shop, glue: Step
) -> None:
    first, second = shop.batch(), shop.batch()
    shop.bring(first, "CLAMPS")
    shop.must(Wish.START, glue)
    shop.mate(glue)
    then = shop.now
    shop.later(hours=1)
    shop.bring(second, "CLAMPS")
    hold(shop, first)
    shop.must(Wish.FINISH, glue, when=then)
    assert used() == [first, first]


def test_a_batch_that_is_over_stops_until_the_lead_lets_it_pass(
    shop: make.Shop, glue: Step
) -> None:
    yesterday = shop.now.date() - timedelta(days=1)
    old = shop.batch(expires_on=yesterday)
    shop.bring(old, "CLAMPS")
    said = refused(shop, Wish.START, glue, "batch_expired")
    assert yesterday.isoformat() in said
    told = {"gate": "floor.batch_expired", "reason": "tested, it holds"}
    shop.must(Wish.ALLOW, glue, by="lead", **told)
    shop.must(Wish.START, glue)
    shop.mate(glue)
    refused(shop, Wish.FINISH, glue, "batch_expired")
    shop.must(Wish.ALLOW, glue, by="lead", **told)
    shop.must(Wish.FINISH, glue)
    assert used() == [old, old]


def test_the_last_good_day_is_good(shop: make.Shop, glue: Step) -> None:
    shop.bring(shop.batch(expires_on=shop.now.date()), "CLAMPS")
    shop.must(Wish.START, glue)


def test_what_was_let_pass_without_a_batch_names_none(
    shop: make.Shop, glue: Step
) -> None:
    for wish in (Wish.START, Wish.FINISH):
        told = {"gate": "floor.batch_missing", "reason": "the label is gone"}
        shop.must(Wish.ALLOW, glue, by="lead", **told)
        shop.must(wish, glue)
        if wish is Wish.START:
            shop.mate(glue)
    assert not MaterialUse.objects.exists()
    assert agrees(glue)


def test_a_held_batch_stops_and_nobody_lets_it_pass(
    shop: make.Shop, glue: Step
) -> None:
    batch = shop.batch()
    shop.bring(batch, "CLAMPS")
    uuid = hold(shop, batch)
    assert "smells odd" in refused(shop, Wish.START, glue, "batch_held")
    told = {"gate": "floor.batch_held", "reason": "hurry"}
    refused(shop, Wish.ALLOW, glue, "not_let_pass", by="lead", **told)
    lift_batch_hold(uuid=uuid, reason="it is the pot", by=shop.cast.lead, at=shop.now)
    shop.must(Wish.START, glue)


def test_of_two_holds_each_is_lifted_by_itself(shop: make.Shop, glue: Step) -> None:
    batch = shop.batch()
    shop.bring(batch, "CLAMPS")
    first, second = hold(shop, batch, "one"), hold(shop, batch, "two")
    told = {"reason": "seen", "by": shop.cast.lead, "at": shop.now}
    lift_batch_hold(uuid=first, **told)
    assert "two" in refused(shop, Wish.START, glue, "batch_held")
    assert no(lift_batch_hold, uuid=first, **told).code == "floor.no_such_batch_hold"
    lift_batch_hold(uuid=second, **told)
    shop.must(Wish.START, glue)


def test_only_who_decides_holds_a_batch_and_says_why(shop: make.Shop) -> None:
    batch = shop.batch()
    holds = {"holds": [(uuid4(), batch.pk)], "at": shop.now}
    by = shop.cast.joiner
    assert no(hold_batches, **holds, reason="x", by=by).code == "kit.not_your_role"
    by = shop.cast.qa
    assert no(hold_batches, **holds, reason=" ", by=by).code == "floor.reason_missing"
    assert not BatchHold.objects.exists()
    uuid = hold(shop, batch)
    lift = {"uuid": uuid, "at": shop.now}
    by = shop.cast.joiner
    assert no(lift_batch_hold, **lift, reason="x", by=by).code == "kit.not_your_role"
    by = shop.cast.lead
    assert no(lift_batch_hold, **lift, reason="", by=by).code == "floor.reason_missing"
    told = {"uuid": uuid4(), "reason": "x", "by": by, "at": shop.now}
    assert no(lift_batch_hold, **told).code == "kit.not_found"


def test_a_held_batch_comes_to_no_station(shop: make.Shop) -> None:
    batch = shop.batch()
    hold(shop, batch)
    place = queries.find_place(code="CLAMPS")
    told = {"station": place, "person": shop.cast.joiner, "at": shop.now}
    assert no(bring_batch, code=batch.code, **told).code == "floor.batch_held"
    assert no(bring_batch, code="B0000000", **told).code == "kit.not_found"
    told["person"] = shop.cast.planner
    assert no(bring_batch, code=batch.code, **told).code == "floor.may_not"
    assert not BatchAtStation.objects.exists()


def test_a_batch_is_taken_in_once_under_its_number(shop: make.Shop) -> None:
    batch = shop.batch(number="4711")
    assert batch.code.startswith("B")
    told = {"received_on": date(2026, 3, 1), "by": shop.cast.lead, "at": shop.now}
    again = no(take_batch_in, material_id=batch.material_id, number="4711", **told)
    assert again.code == "floor.batch_number_taken"
    other = Material.objects.get(code="LACQUER")
    assert take_batch_in(material_id=other.pk, number="4711", **told).pk
    pickup = Material.objects.get(code="PICKUP")
    serial = no(take_batch_in, material_id=pickup.pk, number="1", **told)
    assert serial.code == "floor.not_by_batch"
    assert no(take_batch_in, material_id=0, number="1", **told).code == "kit.not_found"


def test_a_press_that_is_taken_back_used_nothing(shop: make.Shop, glue: Step) -> None:
    shop.bring(shop.batch(), "CLAMPS")
    ended = glued(shop, glue)
    assert standing_uses().count() == 2
    shop.must(Wish.UNDO, glue, event=str(ended.event_id))
    assert standing_uses().count() == 1
    shop.must(Wish.FINISH, glue)
    assert standing_uses().count() == 2
    assert MaterialUse.objects.count() == 3
    assert agrees(glue)


def test_a_repeat_uses_nothing_twice(shop: make.Shop, glue: Step) -> None:
    shop.bring(shop.batch(), "CLAMPS")
    ended = glued(shop, glue)
    again = shop.scan(Wish.FINISH, glue.part, step=glue, event_id=ended.event_id)
    assert again.repeated
    assert MaterialUse.objects.count() == 2


def test_a_row_that_the_ledger_does_not_tell_of_is_found(
    shop: make.Shop, glue: Step
) -> None:
    shop.bring(shop.batch(), "CLAMPS")
    ended = glued(shop, glue)
    need = MaterialNeed.objects.get(operation=glue.operation)
    MaterialUse.objects.create(event=ended, need=need, serial="X-1")
    checked = audit.check_instrument(instrument_id=glue.instrument_id)
    assert [one.what for one in checked.differences] == ["use"]


# --- What a tablet was brought while it was cut off


def test_a_tablet_names_what_it_was_brought_without_network(
    shop: make.Shop, glue: Step
) -> None:
    stood, brought = shop.batch(), shop.batch()
    shop.bring(stood, "CLAMPS")
    shop.later(hours=1)
    shop.must(Wish.START, glue)
    shop.mate(glue)
    then = shop.now
    shop.later(hours=1)
    shop.must(Wish.FINISH, glue, when=then, batches=brought.code)
    assert used() == [stood, brought]
    assert agrees(glue)
    stands = queries.batches_at(
        station_id=shop.cast.stations["CLAMPS"].pk,
        material_ids=[brought.material_id],
        at=shop.now,
    )
    assert stands[brought.material_id].batch_id == brought.pk


def test_what_a_begin_names_stands_there_for_the_end(
    shop: make.Shop, glue: Step
) -> None:
    stood, brought = shop.batch(), shop.batch()
    shop.bring(stood, "CLAMPS")
    shop.later(minutes=1)
    shop.must(Wish.START, glue, batches=brought.code)
    shop.mate(glue)
    shop.must(Wish.FINISH, glue)
    assert used() == [brought, brought]


def test_what_it_was_brought_is_judged_too(shop: make.Shop, glue: Step) -> None:
    held, lacquer = shop.batch(), shop.batch("LACQUER")
    hold(shop, held)
    refused(shop, Wish.START, glue, "batch_held", batches=held.code)
    refused(shop, Wish.START, glue, "batch_missing", batches=lacquer.code)
    refused(shop, Wish.START, glue, "batch_missing", batches="B0000000")


def test_only_what_the_work_uses_is_brought(shop: make.Shop, glue: Step) -> None:
    stood, lacquer = shop.batch(), shop.batch("LACQUER")
    shop.bring(stood, "CLAMPS")
    shop.must(Wish.START, glue, batches=f"{lacquer.code},{stood.code}")
    assert [row.batch for row in BatchAtStation.objects.all()] == [stood]


# --- Serial numbers


def test_each_piece_is_scanned_before_the_work_ends(
    shop: make.Shop, solder: Step
) -> None:
    assert "Pickup 1/2" in refused(shop, Wish.FINISH, solder, "serials_missing")
    shop.must(Wish.USE, solder, serial="ab 1029/x")
    assert "Pickup 2/2" in refused(shop, Wish.FINISH, solder, "serials_missing")
    shop.must(Wish.USE, solder, serial="AB-1030")
    shop.must(Wish.FINISH, solder)
    uses = MaterialUse.objects.order_by("pk")
    assert [use.serial for use in uses] == ["AB-1029-X", "AB-1030"]
    assert all(use.batch is None for use in uses)
    assert agrees(solder)


def test_a_third_piece_is_not_asked(shop: make.Shop, solder: Step) -> None:
    shop.build_in(solder)
    refused(shop, Wish.USE, solder, "serial_not_asked", serial="AB-1031")


def test_work_that_builds_nothing_in_asks_for_no_serial(
    shop: make.Shop, body: Part
) -> None:
    saw = at(shop, body, "Saw")
    shop.must(Wish.START, saw)
    refused(shop, Wish.USE, saw, "serial_not_asked", serial="AB-1031")


@pytest.mark.parametrize(
    "text",
    ["", "ab", "x" * 25, "naïve-1", "P000010F", "https://tags.example/t/p000010f"],
)
def test_what_can_be_no_serial_number_is_said(
    shop: make.Shop, solder: Step, text: str
) -> None:
    refused(shop, Wish.USE, solder, "serial_unread", serial=text)


def test_a_serial_number_is_built_in_once(shop: make.Shop, solder: Step) -> None:
    shop.must(Wish.USE, solder, serial="AB-1029")
    refused(shop, Wish.USE, solder, "serial_used", serial="ab-1029")
    other = at(shop, shop.part(shop.instrument(), "ELECTRONICS"), "Solder")
    shop.must(Wish.START, other)
    said = refused(shop, Wish.USE, other, "serial_used", serial="AB-1029")
    assert solder.instrument.serial in said
    told = {"gate": "floor.serial_used", "reason": "taken out of that one"}
    shop.must(Wish.ALLOW, other, by="lead", **told)
    shop.must(Wish.USE, other, serial="AB-1029")
    assert MaterialUse.objects.filter(serial="AB-1029").count() == 2


def test_a_scan_that_is_taken_back_frees_its_number(
    shop: make.Shop, solder: Step
) -> None:
    one = shop.must(Wish.USE, solder, serial="AB-1029")
    shop.must(Wish.UNDO, solder, event=str(one.event_id))
    shop.build_in(solder)
    other = at(shop, shop.part(shop.instrument(), "ELECTRONICS"), "Solder")
    shop.must(Wish.START, other)
    shop.must(Wish.USE, other, serial="AB-1029")
    shop.must(Wish.FINISH, solder)
    assert agrees(solder)


def test_what_ended_the_work_hangs_on_its_serial_numbers(
    shop: make.Shop, solder: Step
) -> None:
    one = shop.must(Wish.USE, solder, serial="AB-1029")
    shop.must(Wish.USE, solder, serial="AB-1030")
    shop.must(Wish.FINISH, solder)
    refused(shop, Wish.UNDO, solder, "undo_depends", event=str(one.event_id))


def test_a_rework_builds_the_same_piece_in_again(shop: make.Shop, solder: Step) -> None:
    shop.must(Wish.USE, solder, serial="AB-1029")
    shop.must(Wish.USE, solder, serial="AB-1030")
    shop.must(Wish.FINISH, solder)
    shop.must(Wish.REWORK, solder, by="qa", operations=[solder.operation_id])
    again = Step.objects.get(part=solder.part, turn=1)
    shop.must(Wish.START, again)
    shop.must(Wish.USE, again, serial="AB-1029")
    refused(shop, Wish.USE, again, "serial_used", serial="AB-1029")
    assert agrees(solder)


def test_a_whole_instrument_is_built_with_its_materials(shop: make.Shop) -> None:
    instrument = shop.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(instrument, branch))
    instrument.refresh_from_db()
    assert instrument.state == "FINISHED"
    used = MaterialUse.objects.values_list("need__material__code", flat=True)
    assert sorted(used) == [*["GLUE"] * 2, *["LACQUER"] * 6, *["PICKUP"] * 2]
    checked = audit.check_instrument(instrument_id=instrument.pk)
    assert checked.differences == ()
