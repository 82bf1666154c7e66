"""Are many parts at once, an undo and the command cards kept like any other press?

A drying room and a saw whose network goes: by hand, by scanner alone, with the list
open on the server's screen, and with a page that is opened again in between.
"""

from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

import pytest
from django.test import override_settings
from playwright.sync_api import Page, Route

from tests.browser.alone import apart
from tests.browser.alone.apart import Alone, World, sent, until, waiting
from tests.browser.alone.hands import (
    agrees,
    away,
    card,
    go,
    picture,
    press,
    scan,
)
from travelers.floor.models import Event, Stay
from travelers.floor.rules import Wish
from travelers.formulas.cards import Command
from travelers.orders.models import Part
from travelers.outbox.models import Latecomer
from travelers.shop.models import Station


@dataclass
class Room:
    """Parts before a drying room, and parts in it that may come out."""

    before: list[Part]
    inside: list[Part]

    def next(self, count: int) -> list[Part]:
        """Give parts that no test of this file has laid in yet."""
        taken, self.before = self.before[:count], self.before[count:]
        return taken


@pytest.fixture(scope="module")
def room(world: World) -> Room:
    shop = world.shop
    Station.objects.filter(code="ROOM").update(places=60)

    def sawn() -> Part:
        part = world.another()
        shop.work(part, until="Dry")
        return part

    inside = [sawn() for _ in range(3)]
    for part in inside:
        step = shop.step_of(part)
        assert step
        shop.must(Wish.LOAD, step)
    shop.later(days=11)
    for part in inside:
        step = shop.step_of(part)
        assert step
        shop.check(step)
    before = [sawn() for _ in range(14)]
    world.tell_the_time()
    return Room(before, inside)


def enter(world: World, tablet: Alone, station: str = "ROOM") -> Page:
    page = tablet.open()
    tablet.enter(world.shop.cast.joiner)
    go(page, tablet, station)
    return page


def shows(page: Page, *texts: str) -> None:
    said = page.inner_text("#main")
    for text in texts:
        assert text in said, f"the page does not say {text!r}:\n{said}"


def two_on_the_servers_list(page: Page, first: Part, second: Part) -> None:
    scan(page, first.code)
    scan(page, second.code)
    until(page, lambda: "2 parts to go in" in page.inner_text("#scene"))


def home(page: Page, server: apart.Shop) -> None:
    """Let the shop answer again, and wait until everything has come in."""
    server.start()
    sent(page)
    assert page.locator("#outbox-refused").count() == 0
    agrees()


def kinds(part: Part) -> list[str]:
    rows = Event.objects.filter(part=part, station__code__in=("ROOM", "SAW"))
    rows = rows.filter(tablet_at__isnull=False).order_by("seq")
    return [f"{one.kind}{'' if one.accepted else ' refused'}" for one in rows]


# --- Many parts at once


def test_a_list_says_what_goes_what_stays_and_what_is_free(
    world: World, room: Room, server: apart.Shop, tablet: Alone
) -> None:
    first, second = room.before[:2]
    page = enter(world, tablet)
    free = page.evaluate(
        """shopStore.due(document.getElementById("outbox").dataset.due)
        .then((due) => due.station.free)"""
    )
    server.stop()
    scan(page, first.code)
    away(page)
    # The second part in a row makes the list; nobody has to open it.
    scan(page, second.code)
    places = f"{free} of 60 places free as known here, {free - 2} after this list."
    shows(page, "To go in: 2", places)
    # The same code at once would be a trigger held too long.
    scan(page, first.code)
    shows(page, "is on the list already. Take it off?")
    press(page, "Yes, take it off")
    shows(page, "To go in: 1")
    scan(page, second.code)
    press(page, "No, it stays")
    scan(page, first.code)
    scan(page, room.inside[-1].code)
    shows(page, "To go in: 2", "Cannot: 1", "it lies here already")
    scan(page, world.another().code)
    shows(page, "To go in: 3", "not known here; judged when the network is back")
    picture(page, "list")
    press(page, "Clear the list")
    shows(page, "Scan every part that goes in")
    assert waiting(page) == 0


def test_parts_go_in_and_come_out_as_a_list_and_the_last_is_taken_back(
    world: World, room: Room, server: apart.Shop, tablet: Alone
) -> None:
    parts = room.next(3)
    first, second, third = parts
    page = enter(world, tablet)
    server.stop()
    for part in parts:
        scan(page, part.code)
        away(page)
    press(page, "Load: 3")
    shows(page, "3 kept in this tablet", "To go in: 0")
    press(page, "List")
    shows(page, f"takes back: load – {third.instrument.serial} · Dry")
    picture(page, "list-undo")
    press(page, "Undo")
    shows(page, "It is as it was before.", "Load")
    press(page, "List")
    shows(page, f"takes back: load – {second.instrument.serial} · Dry")
    press(page, "Take out several")
    for part in room.inside[:2]:
        scan(page, part.code)
    press(page, "Take out: 2")
    assert waiting(page) == 6
    home(page, server)
    assert [kinds(one) for one in (first, second)] == [["LOAD"]] * 2
    assert kinds(third) == ["LOAD", "UNDO"]
    stays = Stay.objects.filter(step__part__in=parts).order_by("event_id")
    assert len({stay.load_id for stay in stays}) == 1
    assert [stay.step.part for stay in stays] == [first, second]
    ours = Event.objects.filter(part__in=[*parts, *room.inside[:2]])
    numbers = ours.exclude(tablet_number=None).order_by("seq")
    assert list(numbers.values_list("tablet_number", flat=True)) == [1, 2, 3, 4, 5, 6]
    assert [kinds(one) for one in room.inside[:2]] == [["TAKE_OUT"]] * 2


def test_a_scanner_alone_does_all_of_it_without_network(
    world: World, room: Room, server: apart.Shop, tablet: Alone
) -> None:
    first, second = room.next(2)
    page = enter(world, tablet)
    server.stop()
    card(page, Command.DONE)
    away(page)
    shows(page, "This card does nothing here now.")
    card(page, Command.LOAD)
    shows(page, "Scan every part that goes in")
    scan(page, first.code)
    scan(page, second.code)
    scan(page, first.code)
    card(page, Command.YES)
    shows(page, "To go in: 1")
    scan(page, second.code)
    card(page, Command.NO)
    scan(page, first.code)
    card(page, Command.YES)
    shows(page, "2 kept in this tablet")
    card(page, Command.LIST, Command.UNDO)
    shows(page, "It is as it was before.")
    card(page, Command.LOAD)
    assert waiting(page) == 4
    home(page, server)
    assert kinds(second) == ["LOAD"]
    assert kinds(first) == ["LOAD", "UNDO", "LOAD"]


def test_a_scanner_alone_works_a_part_through_its_check(
    world: World, room: Room, server: apart.Shop, tablet: Alone
) -> None:
    body = world.another()
    page = enter(world, tablet, "SAW")
    server.stop()
    scan(page, body.code)
    away(page)
    card(page, Command.START, Command.UNDO, Command.NEXT, Command.NEXT)
    shows(page, "What the gauge shows")
    card(page, Command.DIGIT_4, Command.DIGIT_5, Command.DIGIT_1, Command.OK)
    shows(page, "451 mm is far off")
    picture(page, "doubt")
    card(page, Command.NO)
    card(page, Command.DIGIT_4, Command.DIGIT_5, Command.POINT, Command.DIGIT_1)
    card(page, Command.OK, Command.DONE)
    card(page, Command.HOLD, Command.REASON_WOOD, Command.YES)
    shows(page, "This part is held.")
    home(page, server)
    assert kinds(body) == ["START", "UNDO", "START", "READ", "FINISH", "HOLD"]


def test_a_list_that_the_server_drew_goes_on_when_the_network_goes(
    world: World, room: Room, server: apart.Shop, tablet: Alone
) -> None:
    first, second, third = room.next(3)
    page = enter(world, tablet)
    two_on_the_servers_list(page, first, second)
    load = UUID(page.locator("#scene [name=load]").first.input_value())
    server.stop()
    scan(page, third.code)
    until(page, lambda: "To go in: 3" in page.inner_text("#scene"), seconds=9)
    # Opened again it is there, by its address and by what the tablet noted.
    page.reload()
    until(page, lambda: "To go in: 3" in page.inner_text("#scene"))
    page.goto(f"{tablet.home}/station/ROOM/")
    until(page, lambda: page.get_by_text("Go on with the list").count() == 1)
    press(page, "Go on with the list")
    shows(page, "To go in: 3")
    # And with the shop there the server shows it, and takes it.
    server.start()
    page.evaluate("window.dispatchEvent(new Event('online'))")
    until(page, lambda: "3 parts to go in" in page.inner_text("#scene"), seconds=30)
    press(page, "Load 3")
    until(page, lambda: "3 parts lie here now." in page.inner_text("#scene"))
    until(page, lambda: waiting(page) == 0)
    assert Stay.objects.filter(load=load).count() == 3
    events = Event.objects.filter(part__in=[first, second, third], kind="LOAD")
    assert all(one.tablet_number and one.tablet_at for one in events)


@pytest.mark.parametrize("arrives", [True, False])
def test_a_list_whose_answer_is_lost_is_loaded_once(
    world: World, room: Room, tablet: Alone, *, arrives: bool
) -> None:
    first, second = room.next(2)
    page = enter(world, tablet)
    two_on_the_servers_list(page, first, second)

    def lose(route: Route) -> None:
        if arrives:
            assert route.fetch().status == 200
        route.abort("connectionreset")

    page.route("**/several/**", lose, times=1)
    press(page, "Load 2")
    until(page, lambda: waiting(page) == 0, seconds=20)
    assert page.locator("#outbox-refused").count() == 0
    loads = Event.objects.filter(part__in=[first, second], kind="LOAD", accepted=True)
    assert [one.part for one in loads.order_by("seq")] == [first, second]
    agrees()


# --- Taken back


def test_what_was_pressed_with_the_shop_there_is_taken_back_without_it(
    world: World, room: Room, server: apart.Shop, tablet: Alone
) -> None:
    body = world.another()
    page = enter(world, tablet, "SAW")
    scan(page, body.code)
    press(page, "Start")
    until(page, lambda: "Check: Thickness" in page.inner_text("#scene"))
    until(page, lambda: waiting(page) == 0)
    server.stop()
    # The server's own button still stands there.
    press(page, "Undo")
    until(
        page, lambda: "It is as it was before." in page.inner_text("#main"), seconds=7
    )
    assert page.get_by_role("button", name="Start", exact=True).is_enabled()
    assert waiting(page) == 1
    home(page, server)
    assert kinds(body) == ["START", "UNDO"]


def test_after_a_while_a_touch_takes_nothing_back(
    world: World, room: Room, server: apart.Shop, tablet: Alone
) -> None:
    body = world.another()
    with override_settings(UNDO_WITHIN=timedelta(seconds=6)):
        page = enter(world, tablet, "SAW")
        server.stop()
        scan(page, body.code)
        away(page)
        press(page, "Start")
        shows(page, "takes back: start")
        page.wait_for_timeout(6000)
        press(page, "Undo")
        shows(page, "Ask the lead, who can take it back.")
        press(page, "List")
        assert "takes back" not in page.inner_text("#main")
        assert waiting(page) == 1
        home(page, server)
    assert kinds(body) == ["START"]
    assert not Latecomer.objects.filter(instrument=body.instrument).exists()


def test_the_next_person_takes_back_nothing_of_the_one_before(
    world: World, room: Room, server: apart.Shop, tablet: Alone
) -> None:
    body = world.another()
    page = enter(world, tablet, "SAW")
    scan(page, body.code)
    press(page, "Start")
    until(page, lambda: "takes back: start" in page.inner_text("#scene"))
    until(page, lambda: waiting(page) == 0)
    tablet.enter(world.shop.cast.finisher)
    go(page, tablet)
    server.stop()
    scan(page, body.code)
    away(page)
    shows(page, body.instrument.serial)
    assert "takes back" not in page.inner_text("#main")
