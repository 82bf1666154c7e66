"""Does whoever walks with the meter get on, and is a set's page to be relied on?"""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from tests import make
from tests.desk import client, main_of, page_of, queries_of, released, text_of
from travelers.floor.rules import Wish
from travelers.lumber.actions import note_airs
from travelers.lumber.models import MoistureReading, PlankSet, Room, Species
from travelers.lumber.rules import Method, Told
from travelers.orders.models import Part
from travelers.planning.queries import Outlook
from travelers.shop.models import Gauge, HouseRules

pytestmark = pytest.mark.django_db
MINUTES = "%Y-%m-%dT%H:%M"
# Its wood dries to 6.4 %.
GOOD_AIR = (Decimal(40), Decimal(33))


@pytest.fixture
def room(shop: make.Shop) -> Room:
    return Room.objects.create(
        station=shop.cast.stations["ROOM"], limit_pct=Decimal("7.2")
    )


@pytest.fixture
def body(shop: make.Shop, room: Room) -> Part:
    """Give a body that lies in the room, whose air is known."""
    return lay(shop, 1)[0]


def lay(shop: make.Shop, count: int) -> list[Part]:
    parts = [shop.part(one) for one in released(shop, count)]
    for part in parts:
        shop.work(part, until="Dry")
        step = shop.step_of(part)
        assert step
        shop.must(Wish.LOAD, step)
    return parts


def breathe(shop: make.Shop, room: Room, days: int) -> None:
    """Note the room's air of some days, hour by hour."""
    note_airs(
        room_id=room.pk,
        readings=[(shop.now - timedelta(hours=n), *GOOD_AIR) for n in range(24 * days)],
        told=Told.BY_LOGGER,
    )


def wood_of(part: Part) -> PlankSet:
    assert part.plank_set
    return part.plank_set


def look(shop: make.Shop, address: str, by: str = "joiner") -> Any:
    with time_machine.travel(shop.now, tick=False):
        return client(shop, by).get(address)


def write(shop: make.Shop, plank_set: PlankSet, **typed: str) -> Any:
    """Send the meter's form; ``A1`` is what it showed in piece A at point 1."""
    letters = dict(plank_set.pieces.values_list("letter", "pk"))
    sent = {
        "meter-gauge": str(shop.cast.gauges["meter"].pk),
        "meter-read_at": timezone.localtime(shop.now).strftime(MINUTES),
    }
    for name, value in typed.items():
        own = letters.get(name[0]) if name[1:].isdecimal() else None
        sent[f"meter-piece-{own}-{name[1]}" if own else f"meter-{name}"] = value
    with time_machine.travel(shop.now, tick=False):
        return client(shop, "joiner").post(f"/moisture/{plank_set.number}/", sent)


def dry_away(shop: make.Shop, plank_set: PlankSet, *shown: str) -> None:
    """Read both pieces alike every three days."""
    for value in shown:
        shop.read_wood(plank_set, value, value)
        shop.later(days=3)
    shop.later(days=-3)


# --- What to read next


def test_a_set_that_nobody_read_is_read_first(
    shop: make.Shop, room: Room, body: Part
) -> None:
    breathe(shop, room, 2)
    walk = page_of(look(shop, "/moisture/"))[0]
    assert [one.number for one in walk.sets] == [wood_of(body).number]
    assert walk.sets[0].forecast.outlook is Outlook.UNREAD
    assert walk.rest == 0


def test_what_may_be_dry_comes_before_what_will_not_be_for_weeks(
    shop: make.Shop, room: Room
) -> None:
    soon, late = lay(shop, 2)
    for day in range(4):
        shop.read_wood(wood_of(soon), *[str(Decimal("9.0") - day * Decimal("0.6"))] * 2)
        shop.read_wood(wood_of(late), *[str(Decimal("19.0") - day)] * 2)
        shop.later(days=4)
    breathe(shop, room, 17)
    shop.later(days=6)
    breathe(shop, room, 6)
    walk = page_of(look(shop, "/moisture/"))[0]
    assert walk.sets[0].number == wood_of(soon).number
    assert walk.sets[0].forecast.outlook is Outlook.MAY_BE
    of_late = [one for one in walk.sets if one.number == wood_of(late).number]
    assert all(one.forecast.outlook is Outlook.WILL_BE for one in of_late)
    assert len(walk.sets) + walk.rest == 2


@pytest.mark.parametrize("of", ["piece", "part", "set", "number"])
def test_a_scan_opens_the_page_of_its_set(
    shop: make.Shop, room: Room, body: Part, of: str
) -> None:
    wood = wood_of(body)
    text = {
        "piece": wood.pieces.all()[0].code,
        "part": body.code,
        "set": wood.code,
        "number": f" {wood.number} ",
    }[of]
    answer = look(shop, f"/moisture/?code={text}")
    assert (answer.status_code, answer["Location"]) == (
        302,
        f"/moisture/{wood.number}/",
    )


@pytest.mark.parametrize("text", ["D99-99-99-B9", "W000-0000", "<b>", "x" * 5000])
def test_a_scan_of_no_set_is_told_so_and_stays_in_the_field(
    shop: make.Shop, room: Room, text: str
) -> None:
    answer = look(shop, f"/moisture/?code={text}")
    assert answer.status_code == 404
    assert "No set has" in main_of(answer)
    assert "<b>." not in main_of(answer)
    assert len(text_of(answer)) < 20_000


# --- Reading


def test_what_the_meter_showed_is_written_for_each_piece(
    shop: make.Shop, body: Part
) -> None:
    answer = write(shop, wood_of(body), A1="11,5", A2="11.9 %", B1="12")
    assert answer.status_code == 302
    rows = MoistureReading.objects.order_by("piece__letter", "point")
    assert [(one.piece.letter, one.point, one.shown_pct) for one in rows] == [
        ("A", 1, Decimal("11.5")),
        ("A", 2, Decimal("11.9")),
        ("B", 1, Decimal("12.0")),
    ]
    page = page_of(look(shop, answer["Location"]))
    assert page.dryness.worst_letter == "B"
    assert page.room.code == "ROOM"
    assert [one.letter for one in page.moistures] == ["A", "A", "B"]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({}, "No piece was read"),
        ({"A1": "60"}, "tells from 3 to 40 %, not 60"),
        ({"A1": "twelve"}, "Type a number alone"),
        ({"A1": "12 mm"}, "asked in %"),
        ({"A1": "12", "wood_c": "104"}, "it may show °F"),
        ({"A1": "12", "gauge": ""}, "This field is required"),
        ({"A1": "12", "gauge": "caliper"}, "Select a valid choice"),
        ({"A1": "12", "read_at": "2027-01-01T00:00"}, "has not come yet"),
    ],
)
def test_what_cannot_be_is_said_in_its_place_and_what_was_typed_is_kept(
    shop: make.Shop, body: Part, typed: dict[str, str], says: str
) -> None:
    if typed.get("gauge") == "caliper":
        typed = typed | {"gauge": str(shop.cast.gauges["caliper"].pk)}
    answer = write(shop, wood_of(body), **{"B2": "11.3"} | typed if typed else {})
    assert answer.status_code == 422
    assert says in " ".join(main_of(answer).split())
    assert not typed or 'value="11.3"' in main_of(answer)
    assert not MoistureReading.objects.exists()


def test_an_overdue_meter_is_refused_with_its_day(shop: make.Shop, body: Part) -> None:
    Gauge.objects.filter(pk=shop.cast.gauges["meter"].pk).update(
        due_on=date(2026, 1, 31)
    )
    answer = write(shop, wood_of(body), A1="12")
    assert answer.status_code == 422
    assert "Take another meter" in main_of(answer)
    assert "I looked: it is so" not in main_of(answer)


def test_a_reading_that_rises_is_asked_about_and_taken_when_it_is_so(
    shop: make.Shop, body: Part
) -> None:
    wood = wood_of(body)
    shop.read_wood(wood, "9.0", "9.0")
    shop.later(days=3)
    asked = write(shop, wood, A1="12.5", B1="8.7")
    assert asked.status_code == 422
    said = main_of(asked)
    assert "Is it the right piece" in said
    assert "I looked: it is so" in said
    assert 'value="12.5"' in said
    assert MoistureReading.objects.count() == 2
    assert write(shop, wood, A1="12.5", B1="8.7", sure="on").status_code == 302
    assert MoistureReading.objects.count() == 4


def test_a_double_press_writes_once(shop: make.Shop, body: Part) -> None:
    for _ in range(2):
        assert write(shop, wood_of(body), A1="12", B1="12").status_code == 302
    assert MoistureReading.objects.count() == 2


def oven(shop: make.Shop, plank_set: PlankSet, **typed: str) -> Any:
    sent = {
        "oven-piece": str(plank_set.pieces.all()[0].pk),
        "oven-read_at": timezone.localtime(shop.now).strftime(MINUTES),
    } | {f"oven-{name}": value for name, value in typed.items()}
    with time_machine.travel(shop.now, tick=False):
        return client(shop, "joiner").post(f"/moisture/{plank_set.number}/", sent)


def test_a_sample_from_the_oven_says_the_moisture_of_its_piece(
    shop: make.Shop, body: Part
) -> None:
    """The oven-dry formula of ASTM D4442: (wet − dry) ÷ dry."""
    wood = wood_of(body)
    answer = oven(shop, wood, wet_mass_g="43,20", dry_mass_g="40")
    assert answer.status_code == 302
    one = MoistureReading.objects.get()
    assert (one.method, one.moisture_pct) == (Method.OVEN, Decimal("8.00"))
    assert "oven: 43.20 g, dry 40.00 g" in main_of(look(shop, answer["Location"]))


@pytest.mark.parametrize(
    ("wet", "dry", "says"),
    [
        ("40", "43", "changed places"),
        ("43.2", "4", "Look at the decimal mark"),
        ("", "40", "This field is required"),
        ("43.2 kg", "40", "asked in g"),
    ],
)
def test_two_masses_that_no_sample_has_are_refused(
    shop: make.Shop, body: Part, wet: str, dry: str, says: str
) -> None:
    answer = oven(shop, wood_of(body), wet_mass_g=wet, dry_mass_g=dry)
    assert answer.status_code == 422
    assert says in main_of(answer)
    # The form that is wrong stands open.
    assert '<details class="plate" open>' in main_of(answer)
    assert not MoistureReading.objects.exists()


# --- The page of a set


def test_the_page_says_the_day_and_what_becomes_of_the_sizes(
    shop: make.Shop, room: Room, body: Part
) -> None:
    wood = wood_of(body)
    Species.objects.filter(code="ASH").update(handbook_name="Ash, white")
    dry_away(shop, wood, "14.0", "12.9", "12.0", "11.2")
    breathe(shop, room, 12)
    page = page_of(look(shop, f"/moisture/{wood.number}/"))
    told = page.forecast
    assert told.outlook is Outlook.WILL_BE
    assert shop.now < told.earliest_at < told.expected_at < told.latest_at
    # Wood shrinks on the way, more along the rings than across them.
    width = page.pieces[0].width
    assert width.shrinks
    assert width.tangential_mm < width.radial_mm < 0


def test_wood_that_waits_for_the_glue_says_until_when_it_is_dry_enough(
    shop: make.Shop, room: Room, body: Part
) -> None:
    wood = wood_of(body)
    shop.later(days=30)
    shop.read_wood(wood, "6.2", "6.4")
    lying = shop.step_of(body)
    assert lying
    shop.check(lying)
    shop.must(Wish.TAKE_OUT, lying)
    page = page_of(look(shop, f"/moisture/{wood.number}/"))
    assert page.room is None
    assert page.is_dry
    assert page.keeps_until > shop.now
    assert not page.lay_too_long
    with time_machine.travel(page.keeps_until + timedelta(hours=1), tick=False):
        late = client(shop, "joiner").get(f"/moisture/{wood.number}/")
    assert page_of(late).lay_too_long
    assert "dry enough for the glue until" in main_of(late)
    # Once it is glued nobody asks.
    shop.work(body, until="Machine")
    assert page_of(look(shop, f"/moisture/{wood.number}/")).keeps_until is None


def test_a_set_without_any_part_has_a_page_too(shop: make.Shop, room: Room) -> None:
    wood = shop.plank_set()
    page = page_of(look(shop, f"/moisture/{wood.number}/"))
    assert (page.room, page.dryness, page.forecast, page.is_dry) == (None,) * 4
    assert look(shop, "/moisture/D99-99-99-B9/").status_code == 404


def test_who_may_not_read_sees_no_form(shop: make.Shop, body: Part) -> None:
    address = f"/moisture/{wood_of(body).number}/"
    assert "Read with the meter" in main_of(look(shop, address))
    assert "Read with the meter" not in main_of(look(shop, address, "engineer"))


def test_the_pages_ask_as_much_of_the_database_for_one_set_as_for_many(
    shop: make.Shop, room: Room
) -> None:
    joiner = client(shop, "joiner")

    def fill(count: int) -> Part:
        parts = lay(shop, count)
        for part in parts:
            dry_away(shop, wood_of(part), "12", "11")
        breathe(shop, room, 1)
        return parts[0]

    number = wood_of(fill(1)).number
    addresses = ("/moisture/", f"/moisture/{number}/")
    few = [queries_of(joiner, one) for one in addresses]
    fill(2)
    assert [queries_of(joiner, one) for one in addresses] == few


# --- The workshop's air


def decide(shop: make.Shop, by: str, **typed: Any) -> Any:
    sent = {"temperature_c": "21,5", "humidity_pct": "44"} | typed
    return client(shop, by).post("/rooms/", sent, follow=True)


def test_a_lead_says_the_air_of_the_workshop(shop: make.Shop, room: Room) -> None:
    before = look(shop, "/rooms/", "lead")
    assert "takes up water until it holds 9.3 %" in main_of(before)
    after = decide(shop, "lead")
    assert "Its air has 21.5 °C and 44 %" in main_of(after)
    rules = HouseRules.objects.get()
    assert (rules.workshop_c, rules.changed_by) == (Decimal("21.5"), shop.cast.lead)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"temperature_c": "70"}, "No workshop has 70.0 °C"),
        ({"humidity_pct": "4,4"}, "at a humidity of 4.4 %"),
        ({"humidity_pct": "damp"}, "Type a number alone"),
    ],
)
def test_air_that_no_workshop_has_is_said_and_kept(
    shop: make.Shop, room: Room, typed: dict[str, str], says: str
) -> None:
    answer = decide(shop, "lead", **typed)
    assert answer.status_code == 422
    assert says in main_of(answer)
    assert f'value="{next(iter(typed.values()))}"' in main_of(answer)
    assert not HouseRules.objects.exists()


def test_who_only_works_there_reads_the_air_and_says_none(
    shop: make.Shop, room: Room
) -> None:
    seen = main_of(look(shop, "/rooms/"))
    assert "Its air has 20 °C and 50 %" in seen
    assert "<form" not in seen
    assert decide(shop, "joiner").status_code == 403
