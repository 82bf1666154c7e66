"""Does wood leave its room, and meet the glue, only when it is known to be dry?"""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import make
from tests.floor.story import at
from tests.standing import kept
from travelers.floor import queries
from travelers.floor.actions import Verdict
from travelers.floor.models import Event, Reading
from travelers.floor.queries import keeps_until, wood_faults
from travelers.floor.rules import Wish
from travelers.floor.rules.wood import FRESH, lay_open, not_dry
from travelers.lumber.actions import note_airs
from travelers.lumber.models import PlankSet, Room
from travelers.lumber.rules import Dryness, Told
from travelers.orders.models import Part, Step
from travelers.shop.actions import decide_workshop_air

pytestmark = pytest.mark.django_db
LIMIT = Decimal("7.0")


@kept
def body(shop: make.Shop) -> Part:
    """Give a body that lay in its room for long enough; the room has a limit."""
    Room.objects.create(station=shop.cast.stations["ROOM"], limit_pct=LIMIT)
    step = at(shop, shop.part(shop.instruments(1)[0]), "Dry")
    shop.must(Wish.LOAD, step)
    shop.later(days=30)
    shop.check(Step.objects.get(pk=step.pk))
    return step.part


def wood_of(body: Part) -> PlankSet:
    assert body.plank_set
    return body.plank_set


def take_out(shop: make.Shop, body: Part) -> Verdict:
    return shop.scan(Wish.TAKE_OUT, body, at="ROOM")


def code_of(verdict: Verdict) -> str:
    assert verdict.refusal
    return verdict.refusal.code


def test_wood_that_nobody_read_stays_in(shop: make.Shop, body: Part) -> None:
    verdict = take_out(shop, body)
    assert code_of(verdict) == "floor.wood_unread"
    shop.read_wood(wood_of(body), "6.4", "6.5")
    shop.later(days=FRESH.days, minutes=1)
    assert code_of(take_out(shop, body)) == "floor.wood_unread"


def test_what_was_read_before_it_came_in_does_not_count(
    shop: make.Shop, body: Part
) -> None:
    step = shop.step_of(body)
    assert step
    assert step.started_at
    before, shop.now = shop.now, step.started_at - timedelta(hours=1)
    shop.read_wood(wood_of(body), "6.0", "6.0")
    shop.now = before
    assert code_of(take_out(shop, body)) == "floor.wood_unread"


def test_the_worst_piece_keeps_the_set_in(shop: make.Shop, body: Part) -> None:
    shop.read_wood(wood_of(body), "6.4", "7.0")
    verdict = take_out(shop, body)
    assert code_of(verdict) == "floor.wood_too_wet"
    assert verdict.refusal
    assert verdict.refusal.words == {"piece": "B", "value": "7.0", "limit": "7.0"}
    shop.later(days=1)
    shop.read_wood(wood_of(body), "6.4", "6.9")
    assert take_out(shop, body).accepted


def test_a_lead_may_let_wet_wood_pass_and_is_on_record(
    shop: make.Shop, body: Part
) -> None:
    shop.read_wood(wood_of(body), "7.4", "7.2")
    assert code_of(take_out(shop, body)) == "floor.wood_too_wet"
    allowed = shop.scan(
        Wish.ALLOW,
        body,
        at="ROOM",
        by="lead",
        gate="floor.wood_too_wet",
        reason="A trial body",
    )
    assert allowed.accepted
    assert take_out(shop, body).accepted
    event = Event.objects.filter(kind=Wish.TAKE_OUT, accepted=True).latest("seq")
    assert event.data["passed"] == ["floor.wood_too_wet"]


def test_a_check_at_a_bench_counts_where_it_reads_every_piece(
    shop: make.Shop, body: Part
) -> None:
    shop.read_wood(wood_of(body), "6.4", "7.4")
    # One place for two pieces says nothing of the other.
    assert code_of(take_out(shop, body)) == "floor.wood_too_wet"
    step = shop.step_of(body)
    assert step
    check = step.operation.characteristics.get()
    gauge = shop.cast.gauges["meter"]

    def read(*values: str) -> None:
        shop.later(hours=1)
        taken = shop.reading(step, "6.5", "meter")
        assert shop.scan(Wish.READ, body, at="ROOM", readings=[taken]).accepted
        event = Event.objects.filter(kind=Wish.READ, accepted=True).latest("seq")
        for place, value in enumerate(values, start=2):
            Reading.objects.create(
                event=event,
                characteristic=check,
                place=place,
                value=Decimal(value),
                unit="%",
                verdict="INSIDE",
                gauge=gauge,
                in_calibration=True,
            )

    read("7.1")
    verdict = take_out(shop, body)
    assert code_of(verdict) == "floor.wood_too_wet"
    read("6.9")
    assert take_out(shop, body).accepted


def test_a_list_asks_as_much_for_many_sets_as_for_one(
    shop: make.Shop, body: Part
) -> None:
    place = queries.find_place(code="ROOM")
    found = queries.find_bench(code=body.code)
    assert found
    bench = queries.bench_of(found=found)
    step = bench.current(found.part_id)
    assert step
    with CaptureQueriesContext(connection) as caught:
        faults = wood_faults(leaving=[(bench, step)] * 3, place=place, at=shop.now)
    assert faults[step.id].code == "floor.wood_unread"
    assert len(caught) == 4


def test_a_rack_that_is_no_room_for_wood_asks_for_no_reading(
    shop: make.Shop, body: Part
) -> None:
    Room.objects.all().delete()
    assert take_out(shop, body).accepted


def dried(shop: make.Shop, body: Part) -> Step:
    """Let a body dry in air of its room, take it out, and give its gluing."""
    room = Room.objects.get()
    note_airs(
        room_id=room.pk,
        readings=[
            (shop.now - timedelta(days=n), Decimal(40), Decimal(28)) for n in range(30)
        ],
        told=Told.BY_LOGGER,
    )
    now = shop.now
    for back, value in ((21, "9.0"), (14, "7.9"), (7, "7.0"), (0, "6.4")):
        shop.now = now - timedelta(days=back)
        shop.read_wood(wood_of(body), value, value)
    assert take_out(shop, body).accepted
    glue = shop.step_of(body)
    assert glue
    assert glue.operation.name == "Glue"
    return glue


def test_wood_that_lay_in_damp_air_is_read_again_before_the_glue(
    shop: make.Shop, body: Part
) -> None:
    glue = dried(shop, body)
    keeps = keeps_until(plank_set_id=wood_of(body).pk, part_id=body.pk)
    assert keeps
    # As it dried it takes moisture up: from 6.4 towards the 9.2 % of 20 °C and 50 %.
    assert timedelta(days=2) < keeps - shop.now < timedelta(days=8)
    shop.now = keeps + timedelta(hours=1)
    Step.objects.filter(pk=glue.pk).update(ready_at=shop.now)
    late = shop.scan(Wish.START, body, at="CLAMPS")
    assert code_of(late) == "floor.wood_lay_too_long"
    shop.read_wood(wood_of(body), "6.6", "6.5")
    assert shop.scan(Wish.START, body, at="CLAMPS").accepted


def test_wood_keeps_for_good_in_air_that_is_dry_enough(
    shop: make.Shop, body: Part
) -> None:
    decide_workshop_air(
        temperature_c=Decimal(20),
        humidity_pct=Decimal(30),
        by=shop.cast.lead,
        at=shop.now,
    )
    dried(shop, body)
    assert keeps_until(plank_set_id=wood_of(body).pk, part_id=body.pk) is None


def test_wood_that_was_read_too_wet_after_its_room_is_not_glued(
    shop: make.Shop, body: Part
) -> None:
    dried(shop, body)
    shop.later(hours=3)
    shop.read_wood(wood_of(body), "7.5", "6.5")
    assert code_of(shop.scan(Wish.START, body, at="CLAMPS")) == "floor.wood_too_wet"


def test_wood_dries_as_an_oak_of_its_thickness_while_nobody_read_it_twice(
    shop: make.Shop, body: Part
) -> None:
    shop.read_wood(wood_of(body), "6.4", "6.4")
    assert take_out(shop, body).accepted
    keeps = keeps_until(plank_set_id=wood_of(body).pk, part_id=body.pk)
    assert keeps
    assert keeps > shop.now


def test_the_rules_say_what_is_known(shop: make.Shop) -> None:
    now = shop.now
    fresh = Dryness(Decimal("6.4"), "A", now, ())
    assert not_dry(fresh, limit_pct=LIMIT, since=None, at=now) is None
    unread = Dryness(Decimal("6.4"), "A", now, ("B",))
    for gate in (
        not_dry(unread, limit_pct=LIMIT, since=None, at=now),
        lay_open(unread, limit_pct=LIMIT, keeps=None, at=now),
        lay_open(None, limit_pct=LIMIT, keeps=None, at=now),
    ):
        assert gate
        assert gate.code == "floor.wood_unread"
    year = now + timedelta(days=365)
    assert lay_open(fresh, limit_pct=LIMIT, keeps=None, at=year) is None
