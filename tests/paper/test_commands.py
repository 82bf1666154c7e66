"""Do command cards and load sheets say what they should, to both readers?"""

from dataclasses import replace
from datetime import UTC, datetime
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse

from tests import make
from tests.floor.story import at
from tests.paper.scanner import (
    aimed,
    image,
    read_zbar,
    read_zxing,
    seen,
    sheets,
    words,
)
from travelers.floor.rules import Wish
from travelers.formulas import codes
from travelers.formulas.cards import DIGITS, REASONS, SEVERITIES, Command, code_of
from travelers.paper import documents, queries
from travelers.paper.models import Sheet
from travelers.paper.queries import CommandSheet
from travelers.paper.rules import Printing, Size
from travelers.quality.actions import Asked, contain, let_go
from travelers.routes.models import DefectKind

pytestmark = [pytest.mark.django_db, pytest.mark.once]
PRINTING = Printing(2, datetime(2026, 3, 10, 8, 30, tzinfo=UTC), "Pia Lindqvaert")
DPI = 200
# The dark square of a symbol without its quiet zone, on a wall.
LEAST_MM = 25
# ISO/IEC 18004 asks for four white modules all round each.
APART_MM = 8


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


def cards_of(sheet: CommandSheet) -> list[str]:
    """List the links of all cards, those of the zones twice: they are digits too."""
    some = (sheet.work, sheet.keys, sheet.zones, sheet.kinds, sheet.severities,
            sheet.reasons, sheet.gauges)  # fmt: skip
    return sorted(card.link for cards in some for card in cards)


@pytest.mark.parametrize("size", Size)
def test_both_readers_read_every_card_and_a_scanner_sees_one_at_a_time(
    shop: make.Shop, size: Size
) -> None:
    sheet = queries.command_cards(code="CUTTER", size=size)
    printed = documents.command_cards(sheet=sheet, printing=PRINTING)
    found = []
    for number in range(1, len(sheets(printed).pages) + 1):
        page = image(printed, number, DPI)
        symbols = seen(page, DPI)
        for one in symbols:
            assert one.right - one.left >= LEAST_MM - 0.3
            held = aimed(page, one, DPI)
            assert read_zxing(held) == read_zbar(held) == [one.text]
            gaps = [
                max(other.left - one.right, one.left - other.right,
                    other.top - one.bottom, one.top - other.bottom)
                for other in symbols if other is not one
            ]  # fmt: skip
            assert min(gaps, default=APART_MM) >= APART_MM
        found += [one.text for one in symbols]
    assert sorted(found) == cards_of(sheet)


def test_the_cards_of_a_station_are_those_that_it_obeys(shop: make.Shop) -> None:
    cutter = queries.command_cards(code="CUTTER", size=Size.A4)
    room = queries.command_cards(code="ROOM", size=Size.A4)
    assert {Command.START, Command.DONE} <= {card.command for card in cutter.work}
    assert Command.START not in {card.command for card in room.work}
    assert {Command.LOAD, Command.TAKE_OUT} <= {card.command for card in room.work}
    for sheet in (cutter, room):
        assert {card.command for card in sheet.keys} >= set(DIGITS)
        assert [card.command for card in sheet.severities] == list(SEVERITIES)
        assert [card.command for card in sheet.reasons] == list(REASONS)
    tear_out = DefectKind.objects.get(code="TEAR_OUT")
    assert [card.code for card in cutter.kinds] == [tear_out.card]
    assert room.kinds == ()
    assert [gauge.word for gauge in cutter.gauges] == ["caliper", "old caliper"]
    assert [gauge.word for gauge in room.gauges] == ["meter"]
    assert [one.part for one in cutter.outlines] == ["body", "neck"]


def test_a_card_says_its_word_and_its_letters(shop: make.Shop) -> None:
    sheet = queries.command_cards(code="CUTTER", size=Size.A4)
    printed = documents.command_cards(sheet=sheet, printing=PRINTING)
    said = words(printed)
    for word in ("Cutter", "Start", "Take out", "Tear-out", "Minor", "Enter"):
        assert word in said
    assert codes.grouped(code_of(Command.START)) in said
    assert "Copy 2, printed 10 Mar 2026" in said
    assert "Pia Lindqvaert" in said
    pdf = sheets(printed)
    assert pdf.metadata
    assert pdf.metadata.title == "Command cards: Cutter"
    assert str(pdf.root_object["/Lang"]) == "en"
    again = documents.command_cards(sheet=sheet, printing=PRINTING)
    assert again == printed
    spanish = documents.command_cards(sheet=replace(sheet, language="es"))
    assert str(sheets(spanish).root_object["/Lang"]) == "es"


@pytest.mark.parametrize("size", Size)
def test_the_sheet_of_a_load_names_all_that_lies_in_it(
    shop: make.Shop, size: Size
) -> None:
    load = uuid4()
    steps = [at(shop, shop.part(one), "Dry") for one in shop.instruments(3)]
    for step in steps:
        shop.must(Wish.LOAD, step, load=str(load))
    shop.later(days=11)
    shop.check(steps[0])
    shop.must(Wish.TAKE_OUT, steps[0])
    sheet = queries.load_sheet(load_id=load, size=size)
    printed = documents.load_sheet(sheet=sheet, printing=PRINTING)
    lying = [step.part for step in steps[1:]]
    page = image(printed, 1, DPI)
    assert [read_zbar(aimed(page, one, DPI)) for one in seen(page, DPI)] == [
        [one.text] for one in seen(page, DPI)
    ]
    assert {codes.parse(text) for text in read_zxing(page)} == {
        part.code for part in lying
    }
    said = words(printed)
    assert "2 parts lie here" in said
    assert "1 is out already" in said
    assert "Earliest out:" in said
    for part in lying:
        assert part.instrument.serial in said
    assert steps[0].part.instrument.serial not in said


def test_forty_five_parts_fill_a_few_sheets_and_none_is_lost(shop: make.Shop) -> None:
    load = uuid4()
    step = at(shop, shop.part(shop.instrument()), "Dry")
    shop.must(Wish.LOAD, step, load=str(load))
    one = queries.load_sheet(load_id=load, size=Size.LETTER)
    rows = tuple(
        replace(one.rows[0], part=replace(one.rows[0].part, serial=f"W{n:05}"))
        for n in range(45)
    )
    printed = documents.load_sheet(sheet=replace(one, rows=rows), printing=PRINTING)
    assert len(sheets(printed).pages) == 4
    said = words(printed)
    assert all(row.part.serial in said for row in rows)
    found = [
        text
        for number in range(1, 5)
        for text in read_zxing(image(printed, number, DPI))
    ]
    assert len(found) == 45


def test_who_may_print_them_and_what_is_written_down(shop: make.Shop) -> None:
    load = uuid4()
    step = at(shop, shop.part(shop.instrument()), "Dry")
    shop.must(Wish.LOAD, step, load=str(load))
    cards = reverse("paper:command_cards", args=["ROOM"])
    sheet = reverse("paper:load_sheet", args=[load])
    for who, may_cards, may_sheet in (
        ("joiner", 403, 200), ("lead", 200, 200), ("outsider", 403, 403)
    ):  # fmt: skip
        client = Client()
        client.force_login(shop.cast.people[who])
        assert client.get(cards).status_code == may_cards
        assert client.get(sheet).status_code == may_sheet
    rows = Sheet.objects.order_by("pk").values_list("paper", "of", "copy")
    assert list(rows) == [
        ("LOAD_SHEET", str(load), 1),
        ("COMMANDS", "ROOM", 1),
        ("LOAD_SHEET", str(load), 2),
    ]
    assert client.get(reverse("paper:load_sheet", args=[uuid4()])).status_code == 403
    client.force_login(shop.cast.lead)
    for unknown in ("paper:load_sheet", uuid4()), ("paper:command_cards", "NOWHERE"):
        assert client.get(reverse(unknown[0], args=[unknown[1]])).status_code == 404


def test_a_containment_is_a_list_to_walk_with(shop: make.Shop) -> None:
    one = shop.instrument()
    body = shop.part(one)
    made = contain(
        asked=Asked("plank", body.plank_set.plank.number),
        reason="pitch pockets",
        by=shop.cast.qa,
        at=shop.now,
        zone=ZoneInfo("UTC"),
        uuid=uuid4(),
    )
    client = Client()
    client.force_login(shop.cast.joiner)
    address = reverse("paper:containment", args=[made.pk])
    for size in Size:
        printed = client.get(address, {"sheet": size.value}).content
        said = words(printed)
        assert len(sheets(printed).pages) == 1
        for word in (
            f"Containment {made.pk}",
            "pitch pockets",
            one.serial,
            codes.grouped(body.code),
            body.plank_set.plank.number,
            "2 of 2 held still",
            "wood in the yard",
        ):
            assert word in said
    let_go(number=made.pk, reason="sound", by=shop.cast.qa, at=shop.now)
    assert one.serial not in words(client.get(address).content)
    assert client.get(reverse("paper:containment", args=[99])).status_code == 404
