"""Can a planner put something first, nobody else, and does it end by itself?"""

from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from tests import make
from tests.desk import client, page_of, text_of
from tests.floor import story
from tests.floor.tablet import PIECE, Tablet
from travelers.floor import queries
from travelers.floor.actions import Target, pin, unpin
from travelers.floor.models import Event, Pin
from travelers.floor.rules import Wish
from travelers.kit.refusals import Refused
from travelers.orders.models import Instrument, Part

pytestmark = pytest.mark.django_db


def pinned(
    shop: make.Shop,
    instrument: Instrument,
    *,
    part: str = "",
    station: str = "",
    by: str = "planner",
    days: int = 7,
    reason: str = "promised for the fair",
    uuid: UUID | None = None,
) -> UUID:
    made = uuid or uuid4()
    pin(
        uuid=made,
        target=Target(instrument.serial, part, station),
        reason=reason,
        until_on=shop.now.date() + timedelta(days=days),
        by=shop.cast.people[by],
        at=shop.now,
    )
    return made


def rows(tablet: Tablet) -> list[str]:
    found = tablet.open().page.select(".lists-ready li")
    return [" ".join(row.get_text(" ").split()) for row in found]


def test_what_is_pinned_stands_first_and_says_why(shop: make.Shop) -> None:
    first, second = shop.instrument(), shop.instrument()
    pinned(shop, second)
    seen = rows(Tablet(shop, "SAW"))
    assert [row.partition(" body")[0].split()[-1] for row in seen[:1]] == [
        second.serial
    ]
    assert "put first: promised for the fair done here by" in seen[0]
    assert f"{second.serial} neck" in seen[1]
    assert first.serial in seen[2]
    assert "put first" not in seen[2]


def test_a_part_or_a_station_can_be_pinned_alone(shop: make.Shop) -> None:
    shop.instrument()
    second = shop.instrument()
    neck = shop.part(second, "NECK")
    pinned(shop, second, part=neck.code, station="SAW")
    seen = rows(Tablet(shop, "SAW"))
    assert f"{second.serial} neck" in seen[0]
    assert sum("put first" in row for row in seen) == 1
    assert not any("put first" in row for row in rows(Tablet(shop, "BENCH")))


def test_closing_windows_go_before_and_holds_hold(shop: make.Shop) -> None:
    first, second = shop.instrument(), shop.instrument()
    for one in (first, second):
        story.at(shop, shop.part(one), "Glue")
    pinned(shop, second)
    # Four days after the room the glue has to be on; the first came out before.
    ends = shop.part(first).steps.get(operation__name="Glue").ready_at
    assert ends
    shop.now = ends + timedelta(days=3, hours=1)
    seen = rows(Tablet(shop, "CLAMPS"))
    assert first.serial in seen[0]
    assert "has to begin by" in seen[0]
    assert "put first" in seen[1] or "has to begin by" in seen[1]
    shop.scan(Wish.HOLD, shop.part(second), by="lead", reason="x", only_part=True)
    assert "held: leave it" in rows(Tablet(shop, "CLAMPS"))[-1]


def test_a_pin_ends_with_its_day_with_its_work_and_by_hand(shop: make.Shop) -> None:
    made = shop.instrument()
    pinned(shop, made, station="SAW", days=1)
    tablet = Tablet(shop, "SAW")
    assert sum("put first" in row for row in rows(tablet)) == 2
    (row,) = queries.pins_standing(today=shop.now.date())
    assert not row.is_over
    shop.later(days=2)
    assert not any("put first" in row for row in rows(tablet))
    (row,) = queries.pins_standing(today=shop.now.date())
    assert row.is_over
    again = pinned(shop, made, station="SAW")
    for branch in ("BODY", "NECK"):
        step = shop.step_of(shop.part(made, branch))
        assert step
        shop.do(step)
    (row,) = queries.pins_standing(today=shop.now.date(), serial=made.serial)
    assert (row.uuid, row.is_over) == (again, True)
    assert unpin(uuid=again, by=shop.cast.planner, at=shop.now) == made.serial
    assert queries.pins_standing(today=shop.now.date()) == ()


def test_pinning_again_replaces_and_a_repeat_changes_nothing(shop: make.Shop) -> None:
    made = shop.instrument()
    first = pinned(shop, made, reason="one")
    second = pinned(shop, made, reason="two")
    assert pinned(shop, made, reason="other", uuid=first) == first
    assert [(row.uuid, row.reason) for row in Pin.objects.filter(lifted_at=None)] == [
        (second, "two")
    ]
    assert Pin.objects.get(uuid=first).lifted_by == shop.cast.planner


@pytest.mark.parametrize("by", ["joiner", "finisher", "lead", "qa", "engineer"])
def test_nobody_but_a_planner_pins(shop: make.Shop, by: str) -> None:
    made = shop.instrument()
    with pytest.raises(Refused) as no:
        pinned(shop, made, by=by)
    assert no.value.refusal.code == "kit.not_your_role"
    done = pinned(shop, made)
    with pytest.raises(Refused) as no:
        unpin(uuid=done, by=shop.cast.people[by], at=shop.now)
    assert no.value.refusal.code == "kit.not_your_role"
    page = text_of(client(shop, by).get(f"/instrument/{made.serial}/"))
    assert "promised for the fair" in page
    assert 'action="/first/lift/"' not in page
    assert f"/instrument/{made.serial}/first/" not in page


def test_what_cannot_be_pinned_says_why(shop: make.Shop) -> None:
    made, other = shop.instrument(), shop.instrument()
    refused: list[tuple[dict[str, Any], str]] = [
        ({"reason": "  "}, "floor.reason_missing"),
        ({"days": -1}, "floor.pin_past"),
        ({"station": "NOWHERE"}, "kit.not_found"),
        ({"part": shop.part(other).code}, "kit.not_found"),
        (
            {"part": shop.part(made, "NECK").code, "station": "BOOTH"},
            "floor.pin_nothing_left",
        ),
    ]
    for told, code in refused:
        with pytest.raises(Refused) as no:
            pinned(shop, made, **told)
        assert no.value.refusal.code == code, told
    Instrument.objects.filter(pk=made.pk).update(state="SCRAPPED", closed_at=shop.now)
    with pytest.raises(Refused) as no:
        pinned(shop, made)
    assert no.value.refusal.code == "floor.pin_of_closed"
    with pytest.raises(Refused) as no:
        pin(
            uuid=uuid4(),
            target=Target("W99999"),
            reason="x",
            until_on=date(2027, 1, 1),
            by=shop.cast.planner,
            at=shop.now,
        )
    assert no.value.refusal.code == "kit.not_found"
    assert not Pin.objects.exists()


def test_a_pin_is_lifted_once(shop: make.Shop) -> None:
    done = pinned(shop, shop.instrument())
    unpin(uuid=done, by=shop.cast.planner, at=shop.now)
    for uuid, code in ((done, "floor.pin_lifted"), (uuid4(), "kit.not_found")):
        with pytest.raises(Refused) as no:
            unpin(uuid=uuid, by=shop.cast.planner, at=shop.now)
        assert no.value.refusal.code == code


def test_a_planner_pins_and_lifts_from_the_pages(shop: make.Shop) -> None:
    made = shop.instrument()
    planner = client(shop, "planner")
    page = page_of(planner.get(f"/instrument/{made.serial}/"))
    assert [code for code, _ in page.pin_choice.stations][:2] == ["SAW", "ROOM"]
    told = {
        "event_id": str(uuid4()),
        "part": shop.part(made).code,
        "station": "SAW",
        "reason": "stage guitar",
        "until_on": page.pin_until.isoformat(),
    }
    answer = planner.post(f"/instrument/{made.serial}/first/", told)
    assert (answer.status_code, answer["Location"]) == (
        302,
        f"/instrument/{made.serial}/",
    )
    text = text_of(planner.get("/first/"))
    assert "stage guitar" in text
    assert "body" in text
    (row,) = queries.pins_standing(today=page.today)
    assert planner.post("/first/lift/", {"pin": str(row.uuid)}).status_code == 302
    assert "Nothing is put first" in text_of(planner.get("/first/"))
    assert not Event.objects.exists()


def test_a_screen_and_a_tablet_hear_of_a_pin(shop: make.Shop, body: Part) -> None:
    tablet = Tablet(shop, "SAW").open()
    again = str(tablet.form(".lists")["hx-get"])
    assert tablet.open(again, **PIECE).status == 204
    done = pinned(shop, body.instrument)
    assert tablet.open(again, **PIECE).status == 200
    again = str(tablet.form(".lists")["hx-get"])
    assert tablet.open(again, **PIECE).status == 204
    unpin(uuid=done, by=shop.cast.planner, at=shop.now)
    assert tablet.open(again, **PIECE).status == 200


def test_the_list_says_its_rule_and_a_room_says_more(
    shop: make.Shop, body: Part
) -> None:
    rule = Tablet(shop, "SAW").open().form(".list-rule").get_text(" ")
    assert "what the planner put first" in rule
    assert "one load" not in rule
    shop.work(body, until="Dry")
    assert "one load" in Tablet(shop, "ROOM").open().form(".list-rule").get_text(" ")
