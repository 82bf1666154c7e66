"""Does a traveler printed with many others look like one printed alone?"""

from dataclasses import replace
from datetime import date

import pytest
from PIL import Image, ImageChops

from tests.paper.conftest import PRINTING, Papers, Prints, short
from tests.paper.scanner import image, poppler_words, sheets, words
from travelers.formulas import codes
from travelers.paper import documents
from travelers.paper.documents import Own
from travelers.paper.queries import Done
from travelers.paper.rules import Size

pytestmark = [pytest.mark.django_db, pytest.mark.once]
DPI = 100


def difference(one: bytes, sheet: int, other: bytes, its_sheet: int) -> float:
    """Say by how much of full black the worst dot differs."""
    apart = difference_of(one, sheet, other, its_sheet)
    return float(apart.getextrema()[1]) / 255  # type: ignore[arg-type]


def difference_of(one: bytes, sheet: int, other: bytes, its_sheet: int) -> Image.Image:
    return ImageChops.difference(image(one, sheet, DPI), image(other, its_sheet, DPI))


def test_each_sheet_of_a_batch_looks_like_the_single_one(prints: Prints) -> None:
    count = len(sheets(prints.alone).pages)
    for sheet in range(1, count + 1):
        assert difference(prints.alone, sheet, prints.batch, sheet) < 0.02


def test_so_it_does_on_letter(papers: Papers) -> None:
    owners = [
        Own(replace(one, route=replace(one.route, size=Size.LETTER)), PRINTING)
        for one in map(short, papers.travelers[:2])
    ]
    alone = documents.travelers(owners=owners[1:])
    batch = documents.travelers(owners=owners)
    count = len(sheets(alone).pages)
    assert len(sheets(batch).pages) == 2 * count
    for sheet in range(1, count + 1):
        assert difference(alone, sheet, batch, sheet + count) < 0.02


def test_what_is_done_lies_where_its_line_is(papers: Papers) -> None:
    """Of a coat as of an operation; a hair's breadth apart, as letters are set."""
    traveler = papers.travelers[1]
    body, neck, *_ = traveler.route.sections
    coats = max(body.entries, key=lambda entry: len(entry.turns))
    day = date(2026, 4, 17)
    done = tuple(
        Done(entry.key, (day,) * len(entry.turns))
        for entry in (*body.entries[:12], coats, *neck.entries)
    )
    owners = [
        Own(papers.travelers[0], PRINTING),
        Own(replace(traveler, done=done), PRINTING),
    ]
    alone = documents.travelers(owners=owners[1:])
    batch = documents.travelers(owners=owners)
    count = len(sheets(alone).pages)
    assert poppler_words(batch, count + 1).count("17 Apr") >= 8
    for sheet in range(1, count + 1):
        apart = difference_of(alone, sheet, batch, sheet + count)
        assert sum(apart.histogram()[26:]) < apart.width * apart.height / 2_000
        assert "17 Apr" not in poppler_words(batch, sheet)


def test_a_difference_would_be_seen(papers: Papers, prints: Prints) -> None:
    assert difference(prints.alone, 1, prints.alone, 2) > 0.5


def test_each_instrument_of_a_batch_has_its_own_words(
    papers: Papers, prints: Prints
) -> None:
    count = len(sheets(prints.alone).pages)
    assert len(sheets(prints.batch).pages) == 3 * count
    for place, traveler in enumerate(papers.travelers):
        for sheet in range(1, count + 1):
            said = words(prints.batch, place * count + sheet)
            for own in (
                traveler.serial,
                f"{traveler.position} of 3",
                codes.grouped(traveler.tag.code),
            ):
                assert own in said
            for other in papers.travelers:
                assert other is traveler or other.serial not in said


def test_instruments_that_differ_are_laid_out_apart(papers: Papers) -> None:
    """What a check's every second instrument needs stands on those alone."""
    first, second = map(short, papers.travelers[:2])
    body, *others = second.route.sections
    bare = replace(body, entries=(replace(body.entries[0], checks=()),))
    unchecked = replace(second, route=replace(second.route, sections=(bare, *others)))
    batch = documents.travelers(
        owners=[Own(one, PRINTING) for one in (first, unchecked)]
    )
    count = len(sheets(batch).pages) // 2
    assert "Width of piece" in words(batch, 1)
    assert "Width of piece" not in words(batch, 1 + count)
    assert "T00002" in words(batch, 1 + count)


def test_a_batch_is_small(papers: Papers, prints: Prints) -> None:
    """Three travelers share their route: they take little more than two alone."""
    assert len(prints.batch) < 2.2 * len(prints.alone)


def test_the_outline_leads_to_each_instrument(prints: Prints) -> None:
    reader = sheets(prints.batch)
    count = len(reader.pages) // 3
    assert [
        (one.title, reader.get_destination_page_number(one))  # type: ignore[union-attr]
        for one in reader.outline
    ] == [(f"T0000{place + 1}", place * count) for place in range(3)]
