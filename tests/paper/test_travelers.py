"""Does a traveler say what the shop must do, and only that?"""

from dataclasses import replace

import pytest

from tests.paper.conftest import PRINTING, Papers, Prints, short
from tests.paper.scanner import poppler_words, sheets, sizes_of, words
from tests.paper.workshop import read
from travelers.formulas import codes
from travelers.paper import documents
from travelers.paper.documents import Own
from travelers.paper.queries import Caution, Done, Told, Traveler

# The papers are of rows that were; see conftest.
pytestmark = [pytest.mark.django_db, pytest.mark.once]
SECRET_FILE = "file:" + "///etc/passwd"
ADVICE = "Follow local codes and the advice of licensed practice."


def printed(traveler: Traveler) -> bytes:
    return documents.travelers(owners=[Own(traveler, PRINTING)])


@pytest.mark.parametrize("form", ["alone", "letter"])
def test_every_sheet_says_whose_it_is(
    papers: Papers, prints: Prints, form: str
) -> None:
    sheet, traveler = getattr(prints, form), papers.travelers[0]
    count = len(sheets(sheet).pages)
    assert count in {7, 8}
    for number in range(1, count + 1):
        said = words(sheet, number)
        for expected in (
            "T00001",
            "Tern · Tide Green",
            "Order W26-001, 1 of 3, due 1 Sep 2026",
            "Revision A",
            f"Page {number} of {count}",
            "Copy 2",
            "Printed 10 Mar 2026, 09:30 by Pia Lindqvaert",
            codes.grouped(traveler.tag.code),
            ADVICE,
            "Notes",
        ):
            assert expected in said, number


def test_every_operation_stands_on_it_with_its_station(prints: Prints) -> None:
    said = words(prints.alone)
    operations = read("tern")["revision"]["operations"]
    assert len(operations) == 60
    names = {row["code"]: row["name"] for row in read("shop")["stations"]}
    for operation in operations:
        assert f"{operation['number']} {operation['name']}" in said
        if operation["station"]:
            assert operation["station"] in said
            assert names[operation["station"]] in said


def test_every_check_stands_on_it_with_its_limits(prints: Prints) -> None:
    said = words(prints.alone)
    checks = [
        check
        for operation in read("tern")["revision"]["operations"]
        for check in operation["characteristics"]
    ]
    assert len(checks) > 60
    for check in checks:
        assert check["name"] in said
    for limits in (
        "Neck pocket width 56.08 to 56.22 mm, aim 56.14",
        "Pickup cavity depth, 3 × pickup 22.0 to 22.9 mm, aim 22.4",
        "Gap along the glue edge at most 0.08 mm",
        "Gloss, 3 × point at least 86.0 GU, aim 90.0",
        "Fret slot width, 24 × fret 0.55 to 0.61 mm, aim 0.58",
        "Fret twelve against open string, 6 × string -2.5 to 2.5 cent, aim 0.0",
        "Chips and tear-outs at most 2 pcs",
    ):
        assert limits in said


def test_the_waits_stand_on_it(prints: Prints) -> None:
    said = words(prints.alone)
    for expected in (
        "lies at least 46 d",
        "lies at least 4 h 30 min",
        "start within 4 d · scan every piece",
        "10 times, 2 h 0 min to 5 d between",
        "after body 250, neck 190 · scan each tag",
    ):
        assert expected in said


def test_every_caution_is_explained_once_with_its_sign(prints: Prints) -> None:
    said = words(prints.alone)
    cautions = {
        (caution["sign"], caution["sentence"])
        for operation in read("tern")["revision"]["operations"]
        for caution in operation["cautions"]
    }
    assert len(cautions) == 60
    legend = said[said.rindex("Cautions Follow") :]
    for sign, sentence in cautions:
        assert f"{sign} " in legend
        assert sentence in legend
    assert said.count(ADVICE) == len(sheets(prints.alone).pages) + 1


# What is worked by: 11 points; a point is 1/72 inch.
BENCH_PT = 11


@pytest.mark.point(38)
def test_what_is_worked_by_is_read_at_the_bench(prints: Prints) -> None:
    """Operation, station, check with its limits, wait and the meaning of each sign."""
    sizes = sizes_of(prints.alone)
    route = read("tern")["revision"]["operations"]
    looked_at = [
        *(word for one in route for word in one["name"].split()),
        *(one["station"] for one in route if one["station"]),
        *(
            word
            for one in route
            for check in one["characteristics"]
            for word in check["name"].split()
        ),
        *(
            word
            for one in route
            for caution in one["cautions"]
            for word in caution["sentence"].split()
        ),
        "56.08", "lies", "within", "aim", "T00001",
    ]  # fmt: skip
    sought = {word.strip(".,;:") for word in looked_at}
    assert len(sought) > 300
    # A word that is broken at a line's end is found in two halves.
    assert len(sought - set(sizes)) < len(sought) / 20
    small = {word for word in sought & set(sizes) if max(sizes[word]) < BENCH_PT}
    assert small == set()


def test_the_first_sheet_has_each_parts_code_and_wood(
    papers: Papers, prints: Prints
) -> None:
    said = words(prints.alone, 1)
    body, neck, electronics = papers.travelers[0].parts
    for part in (body, neck, electronics):
        assert codes.grouped(part.code) in said
    assert f"{body.wood} White ash" in said
    assert f"{neck.wood} Sugar maple" in said


def test_a_reprint_says_what_is_done(papers: Papers) -> None:
    traveler = short(papers.travelers[0])
    first = traveler.route.sections[0].entries[0]
    done = (Done(first.key, (PRINTING.at.date(),)),)
    assert "done" not in words(printed(traveler)).split()
    assert "done 10 Mar" in words(printed(replace(traveler, done=done)))


def test_a_rework_is_marked(papers: Papers) -> None:
    traveler = short(papers.travelers[0])
    body, *others = traveler.route.sections
    again = replace(body.entries[0], key="again", rework=1)
    entries = (*body.entries, again)
    route = replace(traveler.route, sections=(replace(body, entries=entries), *others))
    said = words(printed(replace(traveler, route=route)))
    # Twice in the route, and once at hand on the strip.
    assert said.count("Rip and cut the pieces") == 3
    assert said.count("Rip and cut the pieces rework 1") == 1


@pytest.mark.parametrize(
    "name",
    [
        "<script>alert(1)</script>",
        f'<img src="{SECRET_FILE}">',
        "{{ page }} & {% now 'Y' %}",
        "Grün & Weiß",
        "\U0001f3b8 \U00020000 green",
    ],
)
def test_names_are_printed_as_they_are(papers: Papers, name: str) -> None:
    traveler = short(papers.travelers[0])
    route = replace(traveler.route, finish=name, note=name)
    sheet = printed(replace(traveler, route=route))
    said = poppler_words(sheet, 1)
    assert f"Tern · {name}" in said
    assert f"due 1 Sep 2026 · {name}" in said
    assert [image for page in sheets(sheet).pages for image in page.images] == []


def test_marks_that_turn_the_reading_are_left_out(papers: Papers) -> None:
    traveler = short(papers.travelers[0])
    route = replace(traveler.route, finish="Tide\u202eneerG\u202c \u200fsea\u2066\x07")
    said = words(printed(replace(traveler, route=route)), 1)
    assert "Tern · TideneerG sea" in said


def test_a_sign_without_a_drawing_shows_its_code(papers: Papers) -> None:
    traveler = short(papers.travelers[0])
    strange = (Caution("W099", (Told("Mind the gulls.", ()),)),)
    route = replace(traveler.route, cautions=strange)
    said = words(printed(replace(traveler, route=route)))
    assert "W099 Mind the gulls." in said
