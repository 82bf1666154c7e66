"""Do many parts go in and come out at once: scan, scan, scan, confirm?"""

from collections.abc import Callable
from urllib.parse import parse_qs, urlsplit
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import make
from tests.floor.story import at
from tests.floor.tablet import PIECE, Tablet, events, fields
from travelers.floor.models import Event, Stay
from travelers.floor.rules import Wish
from travelers.formulas.cards import Command, code_of
from travelers.orders.models import Part, Step
from travelers.shop.models import Station

pytestmark = pytest.mark.django_db
CONFIRM = "#scene form:has(input[name=wish])"


@pytest.fixture
def bodies(shop: make.Shop) -> Callable[[int], list[Part]]:
    """Give bodies that are sawn and wait for the drying room, which has 3 places."""

    def sawn(count: int) -> list[Part]:
        return [at(shop, shop.part(one), "Dry").part for one in shop.instruments(count)]

    return sawn


@pytest.fixture
def room(shop: make.Shop) -> Tablet:
    return Tablet(shop, "ROOM")


def listed(tablet: Tablet) -> list[str]:
    """Give the codes that would go, as the form to confirm has them."""
    return [
        str(found["value"]).split(" ")[0]
        for found in tablet.page.select("#scene input[name=go]")
    ]


def confirm(tablet: Tablet) -> Tablet:
    """Press the wide button: every hidden field of its form, some of one name."""
    form = tablet.form(CONFIRM)
    going = [str(found["value"]) for found in form.select("input[name=go]")]
    return tablet.submit(form, go=going)  # type: ignore[arg-type]


def many(shop: make.Shop, places: int = 60) -> None:
    Station.objects.filter(code="ROOM").update(places=places)


def test_scan_scan_scan_confirm(
    room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    """The second part in a row makes the list; nobody has to open it."""
    parts = bodies(3)
    room.scan(parts[0])
    assert room.buttons["Load"]
    room.scan(parts[1])
    assert "2 parts to go in" in room.text
    assert "3 of 3 places free, 1 after this list." in room.text
    room.scan(parts[2])
    assert set(listed(room)) == {part.code for part in parts}
    assert room.buttons == {"Load 3": True}
    assert "0 after this list" in room.text
    confirm(room)
    assert "3 parts lie here now." in room.text
    assert events()[-3:] == [("LOAD", True, "")] * 3
    assert Stay.objects.values("load").distinct().count() == 1
    assert "3 parts are in this load." in room.text


def test_each_part_tells_the_number_that_its_tablet_kept_it_under(
    shop: make.Shop, room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    for part in bodies(2):
        room.scan(part)
    form = room.form(CONFIRM)
    rows = [str(found["value"]) for found in form.select("input[name=go]")]
    numbered = [f"{row} {number}" for number, row in enumerate(rows, start=7)]
    room.submit(form, go=numbered, tablet_at=shop.now.isoformat())  # type: ignore[arg-type]
    events_ = Event.objects.filter(kind="LOAD", accepted=True).order_by("seq")
    assert [one.tablet_number for one in events_] == [7, 8]
    assert {one.tablet_at for one in events_} == {shop.now}


def test_a_list_may_be_opened_first_and_outlives_a_reload(
    room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    parts = bodies(2)
    room.open().follow("Load several")
    assert room.buttons == {"Load": False}
    room.scan(parts[0]).scan(parts[1])
    before = listed(room)
    room.open(room.url)
    assert listed(room) == before
    assert len(before) == 2
    # Another page in between, and back.
    room.open("?code=" + parts[0].code)
    room.follow("Go on with the list")
    assert listed(room) == before


def test_those_that_cannot_stand_apart_with_why_and_stop_nobody(
    shop: make.Shop, room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    good, lies, held = bodies(3)
    shop.must(Wish.LOAD, Step.objects.get(part=lies, operation__name="Dry"))
    shop.must(Wish.HOLD, Step.objects.get(part=held, state="READY"), reason="knot",
              only_part=True)  # fmt: skip
    sawn_not = shop.part(shop.instrument())
    neck = shop.part(good.instrument, "NECK")
    room.open("several/?wish=LOAD")
    for text in (good, lies, held, sawn_not, neck, "P123", "P0000000"):
        room.scan(text)
    assert listed(room) == [good.code]
    for said in (
        "6 cannot",
        "Dry: it has been at Room since",
        "has been held since",
        "Saw is not done at this station but at Saw.",
        "Rough is not done at this station but at Saw.",
        "Only a piece of the code came in: P123.",
        "One character of P0000000 is not right.",
    ):
        assert said in room.text
    confirm(room)
    assert "1 part lies here now." in room.text
    assert "6 cannot" in room.text


def test_a_list_takes_as_many_as_there_are_places(
    room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    parts = bodies(4)
    room.open("several/?wish=LOAD")
    for part in parts:
        room.scan(part)
    assert room.status == 200
    assert "Room has no place free; taken: 3." in room.text
    assert len(listed(room)) == 3
    room.follow("Off")
    assert len(listed(room)) == 3


def test_a_part_scanned_again_is_asked_to_come_off(
    room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    part, other = bodies(2)
    room.open("several/?wish=LOAD").scan(part).scan(other).scan(part)
    assert "W00001 is on the list already. Take it off?" in room.text
    assert len(listed(room)) == 2
    room.scan(code_of(Command.NO))
    assert len(listed(room)) == 2
    room.scan(part).scan(code_of(Command.YES))
    assert listed(room) == [other.code]


def test_the_instruments_own_tag_means_what_is_due_here(
    shop: make.Shop, room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    (part,) = bodies(1)
    room.open("several/?wish=LOAD").scan(shop.part(part.instrument, "ASSEMBLY"))
    assert listed(room) == [part.code]
    room.scan(part)
    assert "is on the list already" in room.text


def test_a_confirmation_sent_again_does_nothing_twice(
    room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    """A lost answer: the same page sends the same ids."""
    for part in bodies(3):
        room.scan(part)
    page, url = room.page, room.url
    confirm(room)
    count, said = Event.objects.count(), room.text
    for _ in range(2):
        room.page, room.url = page, url
        confirm(room)
        assert room.text == said
    assert Event.objects.count() == count
    assert Stay.objects.count() == 3


def test_what_is_refused_meanwhile_stays_on_the_list(
    shop: make.Shop, room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    parts = bodies(3)
    for part in parts:
        room.scan(part)
    other = Step.objects.get(part=parts[1], state="READY")
    shop.must(Wish.HOLD, other, reason="resin", only_part=True)
    confirm(room)
    assert "2 parts lie here now. 1 was refused meanwhile and stays" in room.text
    assert "has been held since" in room.text
    refused = Event.objects.filter(accepted=False).get()
    assert (refused.part, refused.refusal) == (parts[1], "floor.held")
    # The next press has a number of its own, and is judged anew.
    shop.scan(Wish.LIFT, parts[1], by="qa", reason="fine",
              hold=str(Event.objects.get(kind="HOLD").event_id))  # fmt: skip
    room.open().follow("Go on with the list")
    confirm(room)
    assert "1 part lies here now." in room.text
    assert Stay.objects.values("load").distinct().count() == 1


def test_parts_of_two_loads_come_out_together(
    shop: make.Shop, room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    first, second, alone = bodies(3)
    loads: tuple[dict[str, str], ...] = (
        {"load": str(uuid4())},
        {"load": str(uuid4())},
        {},
    )
    for part, said in zip((first, second, alone), loads, strict=True):
        shop.must(Wish.LOAD, Step.objects.get(part=part, state="READY"), **said)
    shop.later(days=11)
    for part in (first, alone):
        shop.check(Step.objects.get(part=part, state="DWELLING"))
    room.open().follow("Take out several")
    for part in (first, second, alone):
        room.scan(part)
    assert listed(room) == [first.code, alone.code]
    assert "Still to be checked: Moisture." in room.text
    # It is measured, and then comes along.
    room.follow("Open").follow("Check: Moisture")
    room.read("6.5", gauge=str(shop.cast.gauges["meter"].pk))
    room.follow("Go on with the list")
    assert len(listed(room)) == 3
    confirm(room)
    assert "3 parts are out." in room.text
    assert not Stay.objects.filter(taken_out=None).exists()


def test_clamped_work_is_taken_out_as_a_list_where_it_was_done(
    shop: make.Shop,
) -> None:
    parts = [shop.part(one) for one in shop.instruments(2)]
    for part in parts:
        glue = at(shop, part, "Glue")
        shop.must(Wish.START, glue)
        shop.mate(glue)
        shop.must(Wish.FINISH, glue)
    shop.later(hours=4)
    clamps = Tablet(shop, "CLAMPS").open()
    assert "Load several" not in clamps.text
    clamps.follow("Take out several")
    clamps.scan(parts[0]).scan(parts[1])
    confirm(clamps)
    assert "2 parts are out." in clamps.text


def test_touches_alone_fill_a_list(
    room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    bodies(3)
    room.open("several/?wish=LOAD").follow("W00002")
    assert len(listed(room)) == 1
    room.follow("all 2")
    assert len(listed(room)) == 3


def test_cards_confirm_clear_and_leave_a_list_without_script(
    room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    parts = bodies(2)
    for part in parts:
        room.scan(part)
    room.scan(code_of(Command.START))
    assert room.status == 409
    assert "The card “start” does nothing here now." in room.text
    assert "What goes now: yes, clear, list." in room.text
    assert len(listed(room)) == 2
    room.scan(code_of(Command.YES))
    assert "2 parts lie here now." in room.text
    room.scan(code_of(Command.LIST))
    assert "Lies here" in room.text
    room.open("several/?wish=TAKE_OUT").scan(parts[0]).scan(code_of(Command.CLEAR))
    assert "0 parts to come out" in room.text


def test_a_card_sent_twice_confirms_once(
    room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    for part in bodies(2):
        room.scan(part)
    form, url = room.form("#scan-form"), room.url
    for _ in range(2):
        room.url = url
        room.submit(form, code=code_of(Command.YES))
        assert "2 parts lie here now." in room.text or "cannot" in room.text
    assert Event.objects.filter(kind="LOAD").count() == 2


def test_a_gauge_or_a_station_is_no_part_of_a_list(
    shop: make.Shop, room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    (part,) = bodies(1)
    room.open("several/?wish=LOAD").scan(part)
    room.scan(shop.cast.gauges["meter"].tag)
    assert "meter is no part; the list stays as it is." in room.text
    assert len(listed(room)) == 1
    room.scan(shop.cast.stations["SAW"].tag)
    assert "Saw" in room.page.select_one(".station-name").get_text()  # type: ignore[union-attr]


def test_a_list_that_is_full_says_so(
    room: Tablet, monkeypatch: pytest.MonkeyPatch, bodies: Callable[[int], list[Part]]
) -> None:
    monkeypatch.setattr("travelers.floor.queries.MOST_LISTED", 2)
    for part in bodies(3):
        room.open("several/?wish=LOAD") if not room.url else None
        room.scan(part)
    assert room.status == 422
    assert "The list has 2 parts" in room.text


@pytest.mark.parametrize(
    ("asked", "status"),
    [
        ("several/", 422),
        ("several/?wish=START", 422),
        ("several/?wish=LOAD&load=seven", 422),
        ("several/?wish=LOAD&parts=,,%20,", 200),
        ("several/?wish=LOAD&parts=%00", 422),
        ("several/?wish=TAKE_OUT&code=%00%00", 422),
    ],
)
def test_a_bent_address_is_answered(room: Tablet, asked: str, status: int) -> None:
    assert room.open(asked).status == status


@pytest.mark.parametrize("go", ["", "P000010F", "P000010F x y", "P000010F 1 seven"])
def test_a_bent_confirmation_records_nothing(room: Tablet, go: str) -> None:
    room.open("several/?wish=LOAD")
    room.submit(room.form(CONFIRM), go=go)
    assert room.status == 422
    assert not Event.objects.exists()


def test_who_may_not_work_gets_the_reason_for_each(
    shop: make.Shop, bodies: Callable[[int], list[Part]]
) -> None:
    (part,) = bodies(1)
    tablet = Tablet(shop, "ROOM", by="planner").open("several/?wish=LOAD").scan(part)
    assert "does not do this kind of work" in tablet.text
    assert listed(tablet) == []


def test_the_list_swaps_as_it_reloads(
    room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    (part,) = bodies(1)
    room.open("several/?wish=LOAD")
    form = fields(room.form("#scan-form"))
    asked = f"several/?wish=LOAD&load={form['load']}&code={part.code}"
    answer = room.open(asked, **PIECE).answer
    pushed = answer.headers["HX-Push-Url"]
    assert parse_qs(urlsplit(pushed).query)["parts"] == [part.code]
    piece = listed(room)
    room.open(pushed)
    assert listed(room) == piece == [part.code]


def statements(ask: Callable[[], object]) -> int:
    with CaptureQueriesContext(
        connection,
    ) as told:
        ask()
    return len(told)


@pytest.mark.once
def test_a_list_of_forty_asks_as_much_as_one_of_two(
    shop: make.Shop, room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    many(shop)
    parts = bodies(40)
    load = uuid4()

    def address(count: int) -> str:
        codes = ",".join(part.code for part in parts[:count])
        return f"several/?wish=LOAD&load={load}&parts={codes}"

    room.open(address(1))
    few = statements(lambda: room.open(address(2)))
    all_of_them = statements(lambda: room.open(address(40)))
    assert len(listed(room)) == 40
    assert few == all_of_them


@pytest.mark.once
def test_each_part_of_a_list_costs_the_same(
    shop: make.Shop, room: Tablet, bodies: Callable[[int], list[Part]]
) -> None:
    """In and out: what ten parts cost more than five is five times one part."""
    many(shop)
    # One more than go in: what is offered beside a list costs a question of its own.
    parts = bodies(32)

    def costs(wish: str, first: int, count: int) -> int:
        codes = ",".join(part.code for part in parts[first : first + count])
        room.open(f"several/?wish={wish}&load={uuid4()}&parts={codes}")
        assert len(listed(room)) == count
        return statements(lambda: confirm(room))

    first = costs("LOAD", 0, 1)
    five, ten, fifteen = (
        costs("LOAD", 1, 5),
        costs("LOAD", 6, 10),
        costs("LOAD", 16, 15),
    )
    each = (ten - five) / 5
    assert each == (fifteen - ten) / 5
    assert first < five
    assert each <= MOST_STATEMENTS
    shop.later(days=11)
    room.sign_in("joiner")
    for part in parts[:31]:
        shop.check(Step.objects.get(part=part, state="DWELLING"))
    five, ten, fifteen = (
        costs("TAKE_OUT", 1, 5), costs("TAKE_OUT", 6, 10), costs("TAKE_OUT", 16, 15)
    )  # fmt: skip
    each = (ten - five) / 5
    assert each == (fifteen - ten) / 5
    assert each <= MOST_STATEMENTS


# Savepoint and all, of one part that goes in or comes out.
MOST_STATEMENTS = 20
