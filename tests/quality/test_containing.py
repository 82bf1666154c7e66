"""Is all that came of a thing held in one go, and let go again as one wants?"""

from datetime import date
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError
from django.test import Client

from tests import make
from tests.standing import kept
from travelers.floor.actions import lift_batch_hold
from travelers.floor.models import Batch, BatchHold, Event, Hold
from travelers.floor.rules import Wish
from travelers.kit.refusals import Refused
from travelers.lumber.actions import cut_sets
from travelers.lumber.models import Plank, PlankSet
from travelers.lumber.rules import Cut
from travelers.orders.actions import allot, release_order
from travelers.orders.models import Instrument, Part
from travelers.orders.queries import first_suiting
from travelers.quality import queries
from travelers.quality.actions import Asked, contain, let_go
from travelers.quality.models import Contained, Containment

pytestmark = pytest.mark.django_db

ZONE = ZoneInfo("Europe/Madrid")


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@kept
def plank(shop: make.Shop) -> Plank:
    """Give a plank of which two bodies are on the floor and two sets lie in the yard.

    One of the bodies is joined to its neck.
    """
    one, other = shop.instruments(2)
    for branch in ("BODY", "NECK", "ELECTRONICS"):
        shop.work(shop.part(one, branch))
    shop.work(shop.part(one, "ASSEMBLY"), until="Test play")
    shop.work(shop.part(other), until="Machine")
    first, second = (shop.part(each).plank_set for each in (one, other))
    PlankSet.objects.filter(pk=second.pk).update(plank=first.plank)
    for own in ("A", "B"):
        loose = shop.plank_set()
        PlankSet.objects.filter(pk=loose.pk).update(
            plank=first.plank, number=f"{first.plank.number}-{own}"
        )
    return Plank.objects.get(pk=first.plank_id)


def hold_all(
    shop: make.Shop, plank: Plank, *, by: str = "qa", uuid: UUID | None = None
) -> Containment:
    return contain(
        asked=Asked("plank", plank.number),
        reason="pitch pockets",
        by=shop.cast.people[by],
        at=shop.now,
        zone=ZONE,
        uuid=uuid or uuid4(),
    )


def free(shop: make.Shop, made: Containment, *ids: int, by: str = "qa") -> int:
    return let_go(
        number=made.pk,
        contained_ids=ids or None,
        reason="looked at, all sound",
        by=shop.cast.people[by],
        at=shop.later(hours=1),
    )


def test_all_of_a_plank_is_held_in_one_go(shop: make.Shop, plank: Plank) -> None:
    made = hold_all(shop, plank)
    one, other = Instrument.objects.order_by("serial")
    assert one.held_at == shop.now
    assert other.held_at is None
    assert shop.part(other).held_at == shop.now
    assert shop.part(other, "NECK").held_at is None
    plank.refresh_from_db()
    assert plank.held_since == shop.now
    loose = PlankSet.objects.filter(part=None)
    assert [each.held_since for each in loose] == [shop.now, shop.now]
    page = queries.containment_page(number=made.pk)
    assert (page.row.held, page.row.of) == (5, 5)
    assert {(each.serial, each.only_part) for each in page.kept if each.serial} == {
        (one.serial, False),
        (other.serial, True),
    }


def test_a_batch_is_contained_with_all_that_was_made_with_it() -> None:
    shop = make.shop(uses=True)
    one, other = (shop.part(each) for each in shop.instruments(2))
    shop.work(one, until="Machine")
    shop.bring(shop.batch(), "CLAMPS")
    shop.work(other, until="Machine")
    batch = Batch.objects.order_by("pk").first()
    assert batch
    told = {"reason": "went cloudy", "by": shop.cast.qa, "zone": ZONE}
    asked = Asked("batch", batch.code)
    made = contain(asked=asked, at=shop.now, uuid=uuid4(), **told)
    one.refresh_from_db()
    other.refresh_from_db()
    assert (one.held_at, other.held_at) == (shop.now, None)
    hold = BatchHold.objects.get()
    assert (hold.batch, hold.reason, hold.lifted_at) == (batch, "went cloudy", None)
    page = queries.containment_page(number=made.pk)
    assert (page.row.held, page.row.of) == (2, 2)
    (kept,) = [each for each in page.kept if each.is_batch]
    assert (kept.number, kept.is_held) == (batch.number, True)
    again = contain(asked=asked, at=shop.now, uuid=uuid4(), **told)
    assert free(shop, made) == 2
    hold.refresh_from_db()
    assert hold.lifted_reason == "looked at, all sound"
    assert BatchHold.objects.get(lifted_at=None).reason == "went cloudy"
    assert free(shop, again) == 2
    assert not BatchHold.objects.filter(lifted_at=None).exists()


def test_a_batch_that_nothing_was_made_with_is_held_alone() -> None:
    shop = make.shop(uses=True)
    batch = shop.batch()
    made = contain(
        asked=Asked("batch", batch.code),
        reason="recalled",
        by=shop.cast.qa,
        at=shop.now,
        zone=ZONE,
        uuid=uuid4(),
    )
    hold = BatchHold.objects.get()
    lift_batch_hold(uuid=hold.uuid, reason="not ours", by=shop.cast.lead, at=shop.now)
    assert queries.containment_page(number=made.pk).row.held == 0
    assert free(shop, made) == 1


def test_held_wood_goes_to_no_order(shop: make.Shop, plank: Plank) -> None:
    order = shop.order()
    loose = PlankSet.objects.filter(part=None).order_by("pk").first()
    assert loose
    assert loose.pk in first_suiting(order=order, branch="BODY")
    hold_all(shop, plank)
    assert first_suiting(order=order, branch="BODY") == []
    with pytest.raises(Refused) as fault:
        allot(order_id=order.pk, plank_set_id=loose.pk)
    assert fault.value.refusal.code == "orders.set_held"
    with pytest.raises(Refused) as fault:
        cut_sets(
            plank_id=plank.pk,
            purpose="BODY",
            cut=Cut(1, 100, 50, 10),
            count=1,
            cut_on=date(2026, 3, 1),
        )
    assert fault.value.refusal.code == "lumber.plank_held"


def test_an_order_whose_wood_is_held_is_not_released(
    shop: make.Shop, plank: Plank
) -> None:
    order = shop.order()
    loose = PlankSet.objects.filter(part=None).order_by("pk")[0]
    allot(order_id=order.pk, plank_set_id=loose.pk)
    allot(order_id=order.pk, plank_set_id=shop.plank_set("NECK").pk)
    made = hold_all(shop, plank)
    with pytest.raises(Refused) as fault:
        release_order(order_id=order.pk, by=shop.cast.planner, at=shop.now)
    assert fault.value.refusal.code == "orders.set_held"
    free(shop, made)
    assert release_order(order_id=order.pk, by=shop.cast.planner, at=shop.now)


def test_a_second_press_is_the_same_deed_and_makes_up_for_what_stopped(
    shop: make.Shop, plank: Plank, monkeypatch: pytest.MonkeyPatch
) -> None:
    from travelers.quality.actions import containing

    record, uuid = containing.floor.record, uuid4()
    told: list[str] = []

    def stops_after_one(**said: Any) -> Any:
        if told:
            raise ConnectionError
        told.append(said["code"])
        return record(**said)

    with monkeypatch.context() as torn:
        torn.setattr(containing.floor, "record", stops_after_one)
        with pytest.raises(ConnectionError):
            hold_all(shop, plank, uuid=uuid)
    assert Hold.objects.count() == 1
    made = hold_all(shop, plank, uuid=uuid)
    again = hold_all(shop, plank, uuid=uuid)
    assert made == again == Containment.objects.get()
    assert Hold.objects.count() == 2
    assert Contained.objects.count() == 5


def test_of_two_presses_at_once_one_writes_it_down(
    shop: make.Shop, plank: Plank, monkeypatch: pytest.MonkeyPatch
) -> None:
    from travelers.quality.actions import containing

    uuid = uuid4()
    first = hold_all(shop, plank, uuid=uuid)

    def comes_too_late(*told: Any) -> Containment:
        raise IntegrityError

    monkeypatch.setattr(containing, "_write_down", comes_too_late)
    assert hold_all(shop, plank, uuid=uuid) == first
    assert Hold.objects.count() == 2


def test_some_are_let_go_and_then_all(shop: make.Shop, plank: Plank) -> None:
    made = hold_all(shop, plank)
    body = made.contained.get(only_part=True)
    wood = made.contained.filter(plank_set__isnull=False).order_by("pk")[0]
    assert free(shop, made, body.pk, wood.pk) == 2
    assert Part.objects.get(pk=body.part_id or 0).held_at is None
    assert PlankSet.objects.get(pk=wood.plank_set_id or 0).held_since is None
    assert queries.containment_page(number=made.pk).row.held == 3
    assert free(shop, made) == 3
    assert queries.containment_page(number=made.pk).row.held == 0
    assert not Instrument.objects.filter(held_at__isnull=False).exists()
    assert not Plank.objects.filter(held_since__isnull=False).exists()
    assert free(shop, made) == 0


def test_wood_that_another_containment_holds_stays_held(
    shop: make.Shop, plank: Plank
) -> None:
    first, second = hold_all(shop, plank), hold_all(shop, plank)
    free(shop, first)
    plank.refresh_from_db()
    assert plank.held_since
    assert Instrument.objects.filter(held_at__isnull=False).count() == 1
    free(shop, second)
    plank.refresh_from_db()
    assert plank.held_since is None
    assert not Instrument.objects.filter(held_at__isnull=False).exists()


def test_what_left_the_floor_is_not_held(shop: make.Shop, plank: Plank) -> None:
    one = Instrument.objects.order_by("serial")[0]
    shop.work(shop.part(one, "ASSEMBLY"))
    one.refresh_from_db()
    assert one.state == "FINISHED"
    made = hold_all(shop, plank)
    assert made.contained.filter(part__isnull=False).count() == 1
    assert Event.objects.filter(kind="HOLD").count() == 1


def test_where_nothing_is_left_nothing_is_contained(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    step = shop.step_of(body)
    assert step
    shop.must(Wish.START, step)
    with pytest.raises(Refused) as fault:
        contain(
            asked=Asked("station_day", "CUTTER.2026-01-01"),
            reason="dust",
            by=shop.cast.qa,
            at=shop.now,
            zone=ZONE,
            uuid=uuid4(),
        )
    assert fault.value.refusal.code == "quality.nothing_to_contain"
    assert not Containment.objects.exists()


@pytest.mark.parametrize("by", ["lead", "joiner", "planner"])
def test_qa_alone_contains_and_lets_go(shop: make.Shop, plank: Plank, by: str) -> None:
    with pytest.raises(Refused, match="your_role"):
        hold_all(shop, plank, by=by)
    made = hold_all(shop, plank)
    with pytest.raises(Refused, match="your_role"):
        free(shop, made, by=by)


def client(shop: make.Shop, name: str = "qa") -> Client:
    one = Client()
    one.force_login(shop.cast.people[name])
    return one


def test_from_the_trace_to_the_list_and_back(shop: make.Shop, plank: Plank) -> None:
    qa = client(shop)
    trace = qa.get(f"/quality/trace/plank/{plank.number}/").content.decode()
    assert "2 instruments on the floor are held" in trace
    assert "2 sets in the yard" in trace
    said = {"uuid": str(uuid4()), "kind": "plank", "key": plank.number}
    empty = qa.post("/quality/contained/", said | {"reason": " "})
    assert empty.status_code == 422
    made = qa.post("/quality/contained/", said | {"reason": "pitch"}, follow=True)
    text = made.content.decode()
    assert "5 of 5" in text
    number = Containment.objects.get().pk
    one = Contained.objects.filter(part__isnull=False).order_by("pk")[0]
    where = f"/quality/contained/{number}/"
    gone = qa.post(where, {"one": [one.pk], "reason": "sound"}, follow=True)
    assert "1 was let go" in gone.content.decode()
    assert "4 of 5" in qa.get("/quality/contained/").content.decode()
    rest = qa.post(where, {"all": "all", "reason": "sound"}, follow=True)
    assert "4 were let go" in rest.content.decode()
    assert "0 of 5" in qa.get("/quality/contained/").content.decode()


@pytest.mark.parametrize(
    ("where", "said", "status"),
    [
        ("/quality/contained/", {"uuid": "no"}, 422),
        ("/quality/contained/1/", {"one": ["x"], "reason": "a"}, 422),
        ("/quality/contained/99/", {"one": ["1"], "reason": "a"}, 404),
    ],
)
def test_what_no_page_sends_is_refused(
    shop: make.Shop, where: str, said: dict[str, Any], status: int
) -> None:
    assert client(shop).post(where, said).status_code == status
    assert client(shop, "lead").post(where, said).status_code == 403


def test_a_trace_of_one_part_names_it(shop: make.Shop, plank: Plank) -> None:
    body = shop.part(Instrument.objects.order_by("-serial")[0])
    shown = queries.trace_page(
        kind="part", key=body.code, leaf=1, since=None, zone=ZONE
    )
    assert [part.key for part in shown.touched[0].through] == [body.code]
