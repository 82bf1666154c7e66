"""Is every paper a tagged PDF with title, language and fonts, the same each time?"""

import os
import pickle
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from tests.paper.conftest import PRINTING, Papers, Prints, short
from tests.paper.scanner import sheets, words
from travelers.paper import documents
from travelers.paper.documents import Own
from travelers.paper.rules import Stock

pytestmark = [pytest.mark.django_db, pytest.mark.once]
PRINT_AGAIN = """
import pickle, sys, django
django.setup()
from travelers.paper import documents
owners = pickle.load(sys.stdin.buffer)
sys.stdout.buffer.write(documents.travelers(owners=owners))
"""


@pytest.fixture(scope="session")
def all_papers(papers: Papers, prints: Prints) -> dict[str, bytes]:
    return {
        "alone": prints.alone,
        "letter": prints.letter,
        "batch": prints.batch,
        "tags": documents.tags(sheet=papers.tags),
        "roll": documents.tags(sheet=replace(papers.tags, stock=Stock.ROLL)),
        "pieces": documents.labels(sheet=papers.pieces),
        "cards": documents.station_cards(
            sheet=replace(papers.cards, cards=papers.cards.cards[:2])
        ),
    }


TITLES = {
    "alone": "Traveler T00001",
    "letter": "Traveler T00001",
    "batch": "Travelers T00001 to T00003",
    "tags": "Tags of order W26-001",
    "roll": "Tags of order W26-001",
    "pieces": "Labels of D26-01B-01-B1",
}


@pytest.mark.parametrize("name", [*TITLES, "cards"])
def test_every_paper_is_tagged_and_says_title_and_language(
    all_papers: dict[str, bytes], name: str
) -> None:
    reader = sheets(all_papers[name])
    catalog: Any = reader.root_object
    assert reader.metadata is not None
    assert reader.metadata.title == TITLES.get(name, reader.metadata.title)
    assert reader.metadata.title
    assert catalog["/Lang"] == "en"
    assert catalog["/MarkInfo"]["/Marked"]
    assert catalog["/ViewerPreferences"]["/DisplayDocTitle"]
    told = catalog["/Metadata"].get_data().decode()
    assert 'pdfuaid:part="1"' in told
    assert reader.metadata.title in told


@pytest.mark.parametrize("name", [*TITLES, "cards"])
def test_every_mark_on_a_page_has_its_place_in_the_tree(
    all_papers: dict[str, bytes], name: str
) -> None:
    reader = sheets(all_papers[name])
    root: Any = reader.root_object["/StructTreeRoot"]
    nums = root["/ParentTree"]["/Nums"]
    owners = {nums[at]: nums[at + 1].get_object() for at in range(0, len(nums), 2)}
    assert list(owners) == sorted(owners)
    for number, page in enumerate(reader.pages):
        marks = page.get_contents().get_data().count(b"/MCID")  # type: ignore[union-attr]
        own = owners[page["/StructParents"]]
        assert int(str(page["/StructParents"])) == number
        assert len(own) == marks > 0
        for mark, owner in enumerate(own):
            element = owner.get_object()
            kids = element["/K"]
            assert mark in (kids if isinstance(kids, list) else [kids])
            assert element["/Pg"].get_object() == page
            assert element["/P"].get_object()["/Type"] in {
                "/StructElem",
                "/StructTreeRoot",
            }


@pytest.mark.parametrize("name", [*TITLES, "cards"])
def test_every_font_is_embedded_and_is_the_shops(
    all_papers: dict[str, bytes], name: str
) -> None:
    fonts: dict[str, Any] = {}
    for page in sheets(all_papers[name]).pages:
        fonts |= page["/Resources"].get("/Font", {})  # type: ignore[union-attr]
    assert fonts
    for font in fonts.values():
        (inner,) = font.get_object()["/DescendantFonts"]
        assert "Atkinson-Hyperlegible-Next" in font["/BaseFont"]
        assert "/FontFile2" in inner.get_object()["/FontDescriptor"]


@pytest.mark.parametrize("name", ["alone", "batch"])
def test_a_picture_of_a_symbol_says_its_code(
    papers: Papers, all_papers: dict[str, bytes], name: str
) -> None:
    code = papers.travelers[0].tag.code
    told = f"QR code of {code[:4]}-{code[4:]}"
    figures = [
        element["/Alt"]
        for element in elements(sheets(all_papers[name]))
        if element["/S"] == "/Figure"
    ]
    assert told in figures
    assert all(figures)


def test_the_headings_are_headings(all_papers: dict[str, bytes]) -> None:
    kinds = [element["/S"] for element in elements(sheets(all_papers["alone"]))]
    assert kinds.count("/H1") == 1
    assert kinds.count("/Table") >= 5
    assert kinds.count("/TH") >= 6 * 4


def test_shared_sheets_can_be_heard_in_a_batch(all_papers: dict[str, bytes]) -> None:
    told = [
        element["/ActualText"]
        for element in elements(sheets(all_papers["batch"]))
        if "/ActualText" in element
    ]
    assert len(told) == len(sheets(all_papers["batch"]).pages)
    assert any("Cut outline, pocket" in one for one in told)


def elements(reader: Any) -> list[Any]:
    """List the elements of a structure tree."""
    found, ahead = [], [reader.root_object["/StructTreeRoot"]["/K"]]
    while ahead:
        one = ahead.pop()
        one = one.get_object() if hasattr(one, "get_object") else one
        if isinstance(one, list):
            ahead.extend(one)
        elif isinstance(one, dict) and "/S" in one:
            found.append(one)
            ahead.append(one.get("/K", []))
    return found


def test_the_same_paper_is_the_same_bytes(
    papers: Papers, prints: Prints, all_papers: dict[str, bytes]
) -> None:
    first = [Own(papers.travelers[0], PRINTING)]
    assert documents.travelers(owners=first) == prints.alone
    assert documents.tags(sheet=papers.tags) == all_papers["tags"]
    assert documents.labels(sheet=papers.pieces) == all_papers["pieces"]


def test_another_process_prints_the_same_bytes(papers: Papers) -> None:
    owners = [Own(short(one), PRINTING) for one in papers.travelers[:2]]
    environment = {
        **os.environ,
        "SECRET_KEY": settings.SECRET_KEY,
        "DJANGO_SETTINGS_MODULE": "tests.settings",
        "PYTHONHASHSEED": "12345",
    }
    elsewhere = subprocess.run(
        [sys.executable, "-c", PRINT_AGAIN],
        cwd=Path(__file__).parents[2],
        env=environment,
        input=pickle.dumps(owners),
        capture_output=True,
        check=True,
    ).stdout
    assert elsewhere == documents.travelers(owners=owners)


def test_another_copy_is_another_file(papers: Papers) -> None:
    traveler = short(papers.travelers[0])
    first, second = (
        documents.travelers(owners=[Own(traveler, replace(PRINTING, copy=copy))])
        for copy in (1, 2)
    )
    assert first != second
    assert "Copy 1" in words(first, 1)
    assert "Copy 2" in words(second, 1)


def test_papers_speak_the_language_they_are_asked_in(papers: Papers) -> None:
    traveler = short(papers.travelers[0])
    spanish = replace(traveler, route=replace(traveler.route, language="es"))
    sheet = documents.travelers(owners=[Own(spanish, PRINTING)])
    assert str(sheets(sheet).root_object["/Lang"]) == "es"
    # Decimals are written as the reader writes them.
    assert "171,0" in words(sheet)
    assert "171.0" not in words(sheet)
