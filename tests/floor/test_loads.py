"""Is it kept which parts lay in which load, and found out where a row says else?"""

from datetime import timedelta
from io import StringIO
from uuid import UUID, uuid4

import pytest
from django.core.management import CommandError, call_command

from tests import make
from tests.floor.story import at, code_of
from travelers.floor import queries
from travelers.floor.models import Event, Load, Stay
from travelers.floor.rules import Wish
from travelers.floor.rules.fold import Told
from travelers.floor.rules.loads import StayTold, stays
from travelers.orders.models import Step

pytestmark = pytest.mark.django_db


def dryers(shop: make.Shop, count: int) -> list[Step]:
    return [at(shop, shop.part(one), "Dry") for one in shop.instruments(count)]


def loaded(shop: make.Shop, count: int = 2) -> tuple[UUID, list[Step]]:
    load, steps = uuid4(), dryers(shop, count)
    for step in steps:
        shop.must(Wish.LOAD, step, load=str(load))
        shop.later(minutes=2)
    return load, steps


def check_ledger() -> str:
    said = StringIO()
    call_command("check_ledger", stdout=said)
    return said.getvalue()


def test_parts_that_go_in_together_are_one_load_that_the_first_began(
    shop: make.Shop,
) -> None:
    begun = shop.now
    load, steps = loaded(shop)
    row = Load.objects.get()
    assert (row.pk, row.station.code, row.person) == (load, "ROOM", shop.cast.joiner)
    assert row.begun_at - begun < timedelta(days=1)
    assert row.begun_at == Event.objects.filter(kind="LOAD").earliest("seq").happened_at
    stays_now = row.stays.order_by("pk")
    assert [stay.step_id for stay in stays_now] == [step.pk for step in steps]
    assert [stay.taken_out for stay in stays_now] == [None, None]


def test_a_part_loaded_alone_is_in_no_load(shop: make.Shop) -> None:
    (step,) = dryers(shop, 1)
    shop.must(Wish.LOAD, step)
    assert not Load.objects.exists()
    assert "Rows and ledger agree." in check_ledger()


def test_what_is_taken_out_ends_its_stay_and_the_rest_lies_on(shop: make.Shop) -> None:
    load, (first, second) = loaded(shop)
    shop.later(days=11)
    shop.check(first)
    out = shop.must(Wish.TAKE_OUT, first)
    ended, lying = Stay.objects.order_by("pk")
    assert ended.taken_out_id == out.seq
    assert lying.taken_out_id is None
    found = queries.find_load(load_id=load)
    assert found
    assert [part.code for part in found.lying] == [second.part.code]
    assert {part.taken_at for part in found.parts} == {None, out.happened_at}
    assert "Rows and ledger agree." in check_ledger()


def test_a_load_stays_at_the_station_where_it_was_begun(shop: make.Shop) -> None:
    load, (step, _) = loaded(shop)
    shop.later(days=11)
    shop.check(step)
    shop.must(Wish.TAKE_OUT, step)
    cure = at(shop, step.part, "Cure")
    verdict = shop.scan(Wish.LOAD, step.part, step=cure, load=str(load))
    assert code_of(verdict) == "floor.load_elsewhere"
    assert verdict.refusal
    assert verdict.refusal.words == {"station": "Room"}
    cure.refresh_from_db()
    assert cure.state == "READY"


def test_a_load_with_a_number_that_is_none_is_refused(shop: make.Shop) -> None:
    (step,) = dryers(shop, 1)
    verdict = shop.scan(Wish.LOAD, step.part, step=step, load="seven")
    assert code_of(verdict) == "kit.form_wrong"
    assert not Load.objects.exists()


def test_a_refused_part_is_not_in_the_load(shop: make.Shop) -> None:
    load, steps = uuid4(), dryers(shop, 4)
    answers = [
        shop.scan(Wish.LOAD, step.part, step=step, load=str(load)) for step in steps
    ]
    assert [code_of(answer) for answer in answers] == ["", "", "", "floor.no_room"]
    assert Stay.objects.count() == 3


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("station_id", lambda shop: shop.cast.stations["RACK"].pk),
        ("person_id", lambda shop: shop.cast.lead.pk),
        ("begun_at", lambda shop: shop.now + timedelta(seconds=1)),
    ],
)
def test_a_load_that_says_else_than_the_ledger_is_found(
    shop: make.Shop, column: str, value: object
) -> None:
    loaded(shop)
    assert "Rows and ledger agree." in check_ledger()
    Load.objects.update(**{column: value(shop)})  # type: ignore[operator]
    with pytest.raises(CommandError, match="difference"):
        check_ledger()


def test_a_stay_that_is_gone_or_moved_is_found(shop: make.Shop) -> None:
    _, (first, second) = loaded(shop)
    row = Stay.objects.get(step=first)
    Stay.objects.filter(pk=row.pk).update(
        taken_out=Event.objects.get(step=second, kind="LOAD")
    )
    with pytest.raises(CommandError, match="1 difference "):
        check_ledger()
    # Its stay is missing, and the load was not begun by the other one.
    Stay.objects.filter(pk=row.pk).delete()
    with pytest.raises(CommandError, match="2 differences"):
        check_ledger()
    Stay.objects.all().delete()
    # Two parts lie in no load, and the load has none.
    with pytest.raises(CommandError, match="3 differences"):
        check_ledger()


def told(kind: Wish, event: str, step: int, **data: str) -> Told:
    return Told(event, kind, 1, step, 1, make.MORNING, data)


def test_the_ledger_alone_tells_the_stays() -> None:
    """Loaded twice, as a coat is cured twice; loaded alone; never taken out."""
    events = [
        told(Wish.LOAD, "a", 1, load="L1"),
        told(Wish.LOAD, "b", 2),
        told(Wish.TAKE_OUT, "c", 1),
        told(Wish.LOAD, "d", 3, load="L2"),
        told(Wish.TAKE_OUT, "e", 2),
    ]
    assert stays(events) == [StayTold("L1", 1, "a", "c"), StayTold("L2", 3, "d")]
