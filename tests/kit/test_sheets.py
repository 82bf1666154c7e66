"""Is a list from a file read as it was meant, and each bad cell named?

How cells are quoted says RFC 4180; the smallest workbook is written out by hand after
ECMA-376, part 1 (from memory), so that the library that reads it did not write it.
"""

import zipfile
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django import forms
from django.utils import translation
from django.utils.translation import gettext_lazy as _

from travelers.kit.forms import Count, Number
from travelers.kit.sheets import Column, Moment, Sheet, read_sheet
from travelers.kit.sheets.read import MOST_BYTES, MOST_FAULTS
from travelers.kit.sheets.workbooks import MOST_UNPACKED

BERLIN = ZoneInfo("Europe/Berlin")
COLUMNS = (
    Column("length_mm", Number(label="Length", unit="mm"), also=("Largo", "Länge")),
    Column("mass_g", Count(label="Mass", unit="g", most=1_000_000), also=("Masa",)),
    Column("mark", forms.CharField(label="Mark", max_length=20, required=False)),
)
AIR = (
    Column("read_at", Moment(label="Read at", zone=BERLIN), also=("Zeit",)),
    Column(
        "temperature_c",
        Number(label="Temperature (°C)", unit="degC", decimals=1),
        also=("Temp",),
        rounds=True,
    ),
)


def read(
    content: bytes | str, columns: Sequence[Column] = COLUMNS, most_rows: int = 100
) -> Sheet:
    given = content.encode() if isinstance(content, str) else content
    return read_sheet(given, size=len(given), columns=columns, most_rows=most_rows)


def values(sheet: Sheet) -> list[list[Any]]:
    assert sheet.faults == []
    return [list(line.values.values()) for line in sheet.lines]


def fault(sheet: Sheet) -> tuple[int | None, str, str]:
    (only,) = sheet.faults
    return only.row, only.column, only.sentence


def workbook(rows: Iterable[Sequence[Any]], **more: Any) -> bytes:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    sheet.title = "Planks"
    for row in rows:
        sheet.append(list(row))
    for name, state in more.items():
        book.create_sheet(name, 0).sheet_state = state
    written = BytesIO()
    book.save(written)
    return written.getvalue()


TYPES = (
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType='
    '"application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats'
    '-officedocument.spreadsheetml.sheet.main+xml"/>'
    '<Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.'
    'openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>'
)
RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
HEAD_XML = (
    '<row r="1"><c r="A1" t="inlineStr"><is><t>Length</t></is></c>'
    '<c r="B1" t="inlineStr"><is><t>Mass</t></is></c></row>'
)


def by_hand(rows: str, before: str = "", **parts: bytes) -> bytes:
    """Write the parts of a workbook out: types, relations, book, one sheet."""
    written = BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("[Content_Types].xml", TYPES)
        packed.writestr(
            "_rels/.rels",
            f'<Relationships xmlns="{RELATIONS}"><Relationship Id="r1" '
            f'Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/>'
            "</Relationships>",
        )
        packed.writestr(
            "xl/workbook.xml",
            f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>'
            '<sheet name="Mine" sheetId="1" r:id="r1"/></sheets></workbook>',
        )
        packed.writestr(
            "xl/_rels/workbook.xml.rels",
            f'<Relationships xmlns="{RELATIONS}"><Relationship Id="r1" '
            f'Type="{OFFICE}/worksheet" Target="worksheets/sheet1.xml"/>'
            "</Relationships>",
        )
        packed.writestr(
            "xl/worksheets/sheet1.xml",
            f'{before}<worksheet xmlns="{MAIN}"><sheetData>{HEAD_XML}{rows}'
            "</sheetData></worksheet>",
        )
        for name, content in parts.items():
            packed.writestr(name, content)
    return written.getvalue()


@pytest.mark.parametrize(
    "text",
    [
        "Length,Mass,Mark\n3000.5,22000,a\n",
        "Length;Mass;Mark\n3000,5;22000;a\n",
        "Length\tMass\tMark\n3000,5\t22000\ta",
        'Length,Mass,Mark\r\n"3000,5",22000,a\r\n',
        "sep=;\r\nLength;Mass;Mark\r\n3000,5;22000;a\r\n",
        "length_mm;mass_g;mark\n3000.5 mm;22000 g;a\n",
        "LENGTH [mm];Mass in g;Mark\n3000,50;22000;a\n",
        "Länge (mm);Masa (g);Mark\n3000,50;22000;a\n",
        "Mark,Mass,Length\na,22000,3000.5\n",
        "Length (m);Mass (kg);Mark\n3,0005;22;a\n",
        "Saltmarsh Guitar Works;;\n;;\nLength;Mass;Mark\n3000,5;22000;a\n;;\n",
    ],
    ids=lambda text: " ".join(text.split())[:30],
)
def test_a_list_is_read_whatever_parts_its_cells(text: str) -> None:
    (line,) = read(text).lines
    assert line.values == {
        "length_mm": Decimal("3000.50"),
        "mass_g": 22000,
        "mark": "a",
    }


@pytest.mark.parametrize("letters", ["utf-8", "utf-8-sig", "cp1252", "utf-16"], ids=str)
def test_a_list_is_read_whatever_letters_it_is_in(letters: str) -> None:
    text = "Länge;Mass;Mark\n3000;22000;Ö\xadß – 7\n"
    (line,) = read(text.encode(letters)).lines
    assert line.values["mark"] == "Ö\xadß – 7"


def test_quoted_cells_are_those_of_rfc_4180() -> None:
    # Section 2, rules 5 to 7: quotes, commas and line ends inside, a quote doubled.
    columns = [
        Column(name, forms.CharField(label=name)) for name in ("aaa", "bbb", "ccc")
    ]
    assert values(read('aaa,bbb,ccc\r\n"a","b\r\nbb","c"\r\nz,y,x', columns)) == [
        ["a", "b\nbb", "c"],
        ["z", "y", "x"],
    ]
    assert values(read('aaa,bbb,ccc\r\n"a","b""bb","c,c"\r\n', columns)) == [
        ["a", 'b"bb', "c,c"]
    ]


def test_rows_keep_the_numbers_that_a_spreadsheet_shows() -> None:
    sheet = read("a list\n\nLength;Mass\n\n3000;22000\n;\n3100;x\n")
    assert [line.number for line in sheet.lines] == [5, 7]
    assert fault(sheet)[:2] == (7, "Mass (g)")


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("wide", "Type a number alone"),
        ("", "This cell is empty."),
        ("0", "more than 0"),
        ("-5", "more than 0"),
        ("1.234,5", "one decimal mark"),
        ("3.000", "read as 3.000 or as 3000"),
        ("12,500", "read as 12.500 or as 12500"),
        ("20 cm", "asked in mm"),
        ("3.12345", "at most 2 decimals"),
        ("=A1*2", "holds a formula"),
        ("@SUM(A1)", "holds a formula"),
        ("+cmd|' /C calc'!A0", "holds a formula"),
        ("1e5", "Type a number alone"),
        ("NaN", "Type a number alone"),
        ("9" * 60, "too long for a number"),
    ],
)
def test_a_bad_cell_is_named_by_row_and_column(cell: str, words: str) -> None:
    sheet = read(f"Length;Mass\n3000;22000\n{cell};22000\n")
    row, column, said = fault(sheet)
    assert (row, column) == (3, "Length (mm)")
    assert words in said


def test_a_formula_hides_in_no_text() -> None:
    for cell in ('=HYPERLINK("x")', "@x", "-x+1", "+1+cmd", "\t=x"):
        text = 'Length,Mass,Mark\n3000,22000,"{}"\n'.format(cell.replace('"', '""'))
        if cell == "+1+cmd":
            assert read(text).is_good
        else:
            assert "formula" in fault(read(text))[2], cell


def test_all_bad_cells_are_named_and_too_many_are_counted() -> None:
    sheet = read("Length;Mass\n" + "x;y\n" * 80)
    assert len(sheet.faults) == MOST_FAULTS
    assert sheet.more == 160 - MOST_FAULTS
    assert (sheet.faults[1].row, sheet.faults[1].value) == (2, "y")


@pytest.mark.parametrize(
    ("head", "column", "words"),
    [
        ("Length;Length;Mass", "Length (mm)", "stands here twice"),
        ("Length;Mark", "Mass (g)", "is missing"),
        ("Length (ft);Mass", "Length (mm)", "ft cannot be converted"),
        ("Length;Mass (lb)", "Mass (g)", "lb cannot be converted"),
    ],
)
def test_a_head_that_will_not_do_is_named(head: str, column: str, words: str) -> None:
    sheet = read(head + "\n1;2;3\n")
    assert fault(sheet)[:2] == (1, column)
    assert words in fault(sheet)[2]
    assert sheet.lines == []


def test_columns_that_nobody_asked_for_are_named_and_not_read() -> None:
    sheet = read("Grade;Length;;Mass;Remark\nA;3000;;22000;=1\n")
    assert sheet.unread == ("Grade", "Remark")
    assert values(sheet) == [[Decimal(3000), 22000]]


@pytest.mark.parametrize(
    ("content", "row", "words"),
    [
        ("", None, "is empty"),
        (" \n\n", None, "is empty"),
        ("a;b\n1;2\n", None, "No row names the columns"),
        ("Length;Mass\n", 1, "no row beneath"),
        ("Length;Mass\n;\n", 1, "no row beneath"),
        ("Length,Mass\n3000,5,22000\n", 2, "must stand in quotation marks"),
        ('Length,Mass\n3000,"22000\n3000,1\n', 2, "quotation marks"),
        ('Length,Mass\n3000,"2"2\n', 2, "quotation marks"),
        (b"%PDF-1.7\n\x00\x01", None, "neither a CSV list nor an XLSX"),
        (b"\x89PNG\r\n\x1a\n", None, "neither a CSV list nor an XLSX"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", None, "of an old kind, or has a password"),
        (b"Length;Mass\n\x81;\x8d\n", None, "letters of this file"),
        (b"PK\x03\x04 and no more", None, "cannot be read"),
        ("Length;Mass;Mark\n3;2;" + "x" * 5000, 2, "more text than"),
        ("Length;Mass\n3;2" + ";" * 300, 2, "more cells than"),
    ],
)
def test_what_is_no_list_says_so(content: str | bytes, row: int, words: str) -> None:
    sheet = read(content)
    assert fault(sheet)[0] == row
    assert words in fault(sheet)[2]


def test_a_list_too_long_is_not_read_to_its_end() -> None:
    sheet = read("Length;Mass\n" + "3000;22000\n" * 11, most_rows=10)
    assert fault(sheet)[0] == 12
    assert "more than 10 rows" in fault(sheet)[2]
    assert read("Length;Mass\n" + "3000;22000\n" * 10, most_rows=10).is_good


def test_a_file_too_large_is_not_looked_at() -> None:
    sheet = read_sheet(b"", size=MOST_BYTES + 1, columns=COLUMNS, most_rows=9)
    assert "larger than 5 MB" in fault(sheet)[2]


def test_a_workbook_is_read() -> None:
    content = workbook(
        [
            ["Saltmarsh"],
            [],
            ["Length", "Mass (kg)", "Mark", "Grade"],
            [3000.5, 22, 7, "A"],
            [0.1 + 0.2, "21,5", date(2026, 3, 9), "B"],
        ],
        Old="hidden",
    )
    sheet = read(content)
    assert (sheet.tab, sheet.unread) == ("Planks", ("Grade",))
    assert values(sheet) == [
        [Decimal("3000.5"), 22000, "7"],
        [Decimal("0.3"), 21500, "2026-03-09T00:00:00"],
    ]
    assert [line.number for line in sheet.lines] == [4, 5]


def test_a_workbook_written_by_hand_is_read() -> None:
    # Cells and rows may be left out; numbers are not of one form.
    sheet = read(
        by_hand(
            '<row r="5"><c r="A5"><v>3.0005E3</v></c><c r="B5"><v>22000</v></c></row>'
        )
    )
    assert values(sheet) == [[Decimal("3000.5"), 22000]]
    assert (sheet.tab, sheet.lines[0].number) == ("Mine", 5)


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("=1+1", "holds a formula"),
        (date(2026, 5, 1), "made a date of this number"),
        ("#DIV/0!", "could not reckon"),
        (True, "Type a number alone"),
        ("3.000", "read as 3.000 or as 3000"),
        (3000.123, "at most 2 decimals"),
    ],
)
def test_a_bad_cell_of_a_workbook_is_named(cell: Any, words: str) -> None:
    sheet = read(workbook([["Length", "Mass"], [3000, 22000], [cell, 22000]]))
    row, column, said = fault(sheet)
    assert (row, column) == (3, "Length (mm)")
    assert words in said


def test_a_workbook_that_declares_texts_of_its_own_is_refused() -> None:
    bomb = (
        '<!DOCTYPE w [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    )
    assert "cannot be read" in fault(read(by_hand("", before=bomb)))[2]


def test_a_workbook_that_would_burst_is_refused() -> None:
    zeros = bytes(MOST_UNPACKED)
    content = by_hand("", **{"xl/media/a.bin": zeros})
    assert len(content) < MOST_UNPACKED / 100
    assert "too large once it is unpacked" in fault(read(content))[2]


def test_a_packed_folder_that_is_no_workbook_is_refused() -> None:
    written = BytesIO()
    with zipfile.ZipFile(written, "w") as packed:
        packed.writestr("content.xml", "<a/>")
    assert "neither a CSV list nor" in fault(read(written.getvalue()))[2]


def test_a_cell_at_the_end_of_the_world_is_reached() -> None:
    far = '<row r="1048576"><c r="A1048576"><v>3000</v></c></row>'
    assert fault(read(by_hand(far)))[:2] == (1048576, "Mass (g)")


def test_a_row_beyond_what_the_format_knows_is_not_waited_for() -> None:
    far = '<row r="99999999999"><c r="A99999999999"><v>3000</v></c></row>'
    assert not read(by_hand(far)).is_good


def test_a_cut_workbook_is_refused() -> None:
    content = workbook([["Length", "Mass"], [3000, 22000]])
    for end in (len(content) // 2, len(content) - 30):
        assert "cannot be read" in fault(read(content[:end]))[2]


@pytest.mark.parametrize(
    ("written", "moment"),
    [
        ("2026-03-09 14:30", datetime(2026, 3, 9, 13, 30, tzinfo=UTC)),
        ("2026-03-09T14:30:10", datetime(2026, 3, 9, 13, 30, 10, tzinfo=UTC)),
        ("2026-03-09T14:30Z", datetime(2026, 3, 9, 14, 30, tzinfo=UTC)),
        ("2026-03-09T14:30+02:00", datetime(2026, 3, 9, 12, 30, tzinfo=UTC)),
        ("9.3.2026 14:30", datetime(2026, 3, 9, 13, 30, tzinfo=UTC)),
        ("09.03.2026 14:30:05", datetime(2026, 3, 9, 13, 30, 5, tzinfo=UTC)),
        ("2026-07-09 14:30", datetime(2026, 7, 9, 12, 30, tzinfo=UTC)),
    ],
)
def test_moments_are_read(written: str, moment: datetime) -> None:
    sheet = read(f"Zeit;Temp °C\n{written};21,437\n", AIR)
    assert values(sheet) == [[moment, Decimal("21.4")]]


def test_moments_of_a_workbook_are_read() -> None:
    rows = [["Read at", "Temp"], [datetime(2026, 3, 9, 14, 30), 21.43999]]  # noqa: DTZ001
    assert values(read(workbook(rows), AIR)) == [
        [datetime(2026, 3, 9, 13, 30, tzinfo=UTC), Decimal("21.4")]
    ]


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("03/09/2026 14:30", "cannot be mixed up"),
        ("2026-03-09", "a day and a time"),
        ("2026-02-30 14:30", "a day and a time"),
        ("31.02.2026 14:30", "a day and a time"),
        ("2026-03-29 02:30", "set forward over it"),
        ("yesterday", "a day and a time"),
    ],
)
def test_moments_that_cannot_be_are_named(written: str, words: str) -> None:
    assert words in fault(read(f"Zeit;Temp\n{written};21\n", AIR))[2]


def test_twenty_thousand_rows_are_read() -> None:
    start = datetime(2026, 1, 1, tzinfo=UTC)
    moments = [start + timedelta(minutes=10 * n) for n in range(20_000)]
    rows = "\n".join(
        f"{at.isoformat()};{n % 30 + 1},57" for n, at in enumerate(moments)
    )
    sheet = read(f"Zeit;Temp\n{rows}\n", AIR, most_rows=20_000)
    assert sheet.is_good
    assert [line.values["read_at"] for line in sheet.lines] == moments


def test_columns_are_known_by_their_names_in_the_readers_language() -> None:
    columns = [Column("l", Number(label=_("Length"), unit="mm"))]
    with translation.override("es"):
        assert values(read("Largo (cm)\n5\n", columns)) == [[Decimal(50)]]
    assert not read("Largo (cm)\n5\n", columns).is_good
