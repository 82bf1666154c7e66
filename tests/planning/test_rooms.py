"""Does the room's page say whether wood becomes dry there?"""

import sys
from datetime import timedelta
from decimal import Decimal

import pytest
import time_machine
from bs4 import BeautifulSoup
from django.http import HttpResponse

from tests import make
from tests.desk import client, main_of, page_of, queries_of, released, text_of
from travelers.floor.rules import Wish
from travelers.lumber.actions import note_airs
from travelers.lumber.models import Room, RoomReading
from travelers.lumber.rules import Told

pytestmark = pytest.mark.django_db
TOO_DAMP = "no wood here dries below"


@pytest.fixture
def room(shop: make.Shop) -> Room:
    return Room.objects.create(
        station=shop.cast.stations["ROOM"], limit_pct=Decimal("6.0")
    )


def read(shop: make.Shop, room: Room, damp: str, days: int = 1) -> None:
    note_airs(
        room_id=room.pk,
        readings=[
            (shop.now - timedelta(hours=n), Decimal(40), Decimal(damp))
            for n in range(24 * days)
        ],
        told=Told.BY_LOGGER,
    )


def test_a_room_that_is_too_damp_is_named_here_and_on_the_board(
    shop: make.Shop, room: Room
) -> None:
    read(shop, room, "33")
    with time_machine.travel(shop.now, tick=False):
        planner = client(shop, "planner")
        for address in ("/rooms/", "/rooms/ROOM/", "/board/"):
            said = " ".join(main_of(planner.get(address)).split())
            assert TOO_DAMP in said, address
            assert (
                "Lower the humidity to 31 % or raise the temperature to 45 °C." in said
            )
    RoomReading.objects.update(humidity_pct=25)
    with time_machine.travel(shop.now, tick=False):
        for address in ("/rooms/", "/rooms/ROOM/", "/board/"):
            assert TOO_DAMP not in main_of(planner.get(address))


def test_new_air_reaches_a_board_that_stands_open(shop: make.Shop, room: Room) -> None:
    with time_machine.travel(shop.now, tick=False):
        planner = client(shop, "planner")
        asks = {"HX-Request": "true", "HX-Target": "board"}
        seen = page_of(planner.get("/board/")).seen
        url = f"/board/?seen={seen}"
        assert planner.get(url, headers=asks).status_code == 204
        read(shop, room, "33")
        assert TOO_DAMP in text_of(planner.get(url, headers=asks))


def test_what_lies_in_the_room_is_told_the_first_in_first(
    shop: make.Shop, room: Room
) -> None:
    bodies = [shop.part(one) for one in released(shop, 2)]
    for body in bodies:
        shop.work(body, until="Dry")
        step = shop.step_of(body)
        assert step
        shop.must(Wish.LOAD, step)
        shop.later(hours=3)
    with time_machine.travel(shop.now, tick=False):
        page = page_of(client(shop, "planner").get("/rooms/ROOM/"))
    assert [row.code for row in page.lying] == [body.code for body in bodies]
    assert {row.set_number for row in page.lying} == {
        body.plank_set.number for body in bodies if body.plank_set
    }
    assert page.row.lying == 2
    assert page.row.free == shop.cast.stations["ROOM"].places - 2


def test_the_page_asks_as_much_of_the_database_for_one_part_as_for_many(
    shop: make.Shop, room: Room
) -> None:
    planner = client(shop, "planner")

    def load(count: int) -> None:
        for one in released(shop, count):
            body = shop.part(one)
            shop.work(body, until="Dry")
            step = shop.step_of(body)
            assert step
            shop.must(Wish.LOAD, step)

    load(1)
    few = queries_of(planner, "/rooms/ROOM/")
    load(2)
    assert queries_of(planner, "/rooms/ROOM/") == few


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (
            {"temperature_c": "40", "humidity_pct": "105"},
            "between 0 and 100 %, not at 105",
        ),
        ({"temperature_c": "104", "humidity_pct": "33"}, "it may show °F"),
        ({"temperature_c": "40 mm", "humidity_pct": "33"}, "asked in °C"),
        ({"temperature_c": "", "humidity_pct": "33"}, "This field is required"),
        ({"temperature_c": "forty", "humidity_pct": "33"}, "Type a number alone"),
        ({"read_at": "2027-01-01T00:00"}, "has not come yet"),
    ],
)
def test_what_cannot_be_read_is_said_in_words_and_kept(
    shop: make.Shop, room: Room, typed: dict[str, str], says: str
) -> None:
    whole = {"temperature_c": "41", "humidity_pct": "33"}
    whole |= {"read_at": f"{shop.now:%Y-%m-%dT%H:%M}"} | typed
    with time_machine.travel(shop.now, tick=False):
        answer = client(shop, "joiner").post("/rooms/ROOM/", whole)
    assert answer.status_code == 422
    assert says in text_of(answer)
    assert f'value="{whole["humidity_pct"]}"' in text_of(answer)
    assert not RoomReading.objects.exists()


@pytest.mark.parametrize(
    ("typed", "read"), [("41,5 °C", Decimal("41.5")), ("-3.5", Decimal("-3.5"))]
)
def test_a_reading_by_hand_takes_a_comma_and_comes_onto_the_page(
    shop: make.Shop, room: Room, typed: str, read: Decimal
) -> None:
    with time_machine.travel(shop.now, tick=False):
        answer = client(shop, "joiner").post(
            "/rooms/ROOM/",
            {
                "temperature_c": typed,
                "humidity_pct": "33,5",
                "read_at": "2026-03-09T08:00",
            },
            follow=True,
        )
    assert "The reading is written down" in text_of(answer)
    one = RoomReading.objects.get()
    assert (one.temperature_c, one.humidity_pct) == (read, Decimal("33.5"))
    assert one.person == shop.cast.joiner


def test_the_chart_shows_when_it_was_too_damp(shop: make.Shop, room: Room) -> None:
    read(shop, room, "33", days=20)
    with time_machine.travel(shop.now, tick=False):
        planner = client(shop, "planner")
        damp = planner.get("/rooms/ROOM/air.svg?days=28")
        RoomReading.objects.update(humidity_pct=25)
        dry = planner.get("/rooms/ROOM/air.svg?days=28&dark")
    assert damp["Content-Type"] == "image/svg+xml"
    assert {"must be below 6.0 %", "too damp"} <= words_of(damp)
    assert "too damp" not in words_of(dry)


def test_a_chart_of_nothing_is_a_chart(shop: make.Shop, room: Room) -> None:
    answer = client(shop, "planner").get("/rooms/ROOM/air.svg")
    assert "must be below 6.0 %" in words_of(answer)


@pytest.mark.proof("D6")
def test_without_what_draws_charts_the_pages_work_with_their_tables(
    shop: make.Shop, room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    read(shop, room, "33", days=2)
    monkeypatch.setitem(sys.modules, "vl_convert", None)
    planner = client(shop, "planner")
    with time_machine.travel(shop.now, tick=False):
        page = planner.get("/rooms/ROOM/")
        answers = [planner.get(f"/rooms/ROOM/{name}.svg") for name in ("air", "places")]
        assert planner.get("/rooms/").status_code == 200
    assert page.status_code == 200
    assert main_of(page).count("<table") >= 1
    for answer in answers:
        assert answer.status_code == 409
        assert "lacks what draws charts" in text_of(answer)


def words_of(drawn: HttpResponse) -> set[str]:
    """Give the words that stand in a drawing."""
    found = BeautifulSoup(drawn.content, "html.parser").find_all("text")
    return {one.get_text() for one in found}
