"""How is a workbook read, which is a packed folder of XML that may be made to burst?"""

import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from itertools import islice
from typing import Any

from django.utils.translation import gettext

from travelers.kit.sheets.cells import Broken, Cell, Formula, NoSheet, Rows
from travelers.kit.sheets.texts import LONGEST_CELL

PACKED = b"PK\x03\x04"
# The container of old workbooks, and of those with a password.
OLD = b"\xd0\xcf\x11\xe0"
# Unpacked, all parts together; 20,000 rows of five columns take about 6 MB.
MOST_UNPACKED = 32_000_000
MOST_PARTS = 500
# What stands further to the right is not looked at.
MOST_COLUMNS = 60
# As many as the format knows.
MOST_ROWS = 1_048_576
ROWS_AT_ONCE = 500
# The digits that a spreadsheet itself keeps of a number.
DIGITS = 15
# XML may call its own texts again and again until they fill the memory; a workbook
# never declares any.
DECLARES = (b"<!DOCTYPE", b"<!ENTITY")
OTHER_LETTERS = (b"\xff\xfe", b"\xfe\xff", b"<\x00", b"\x00<")


def workbook_rows(content: bytes) -> tuple[str, Rows]:
    """Give the name and the rows of the first sheet that is not hidden."""
    _must_be_harmless(content)
    # Takes a fifth of a second to load.
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        # It warns of looks that it does not know; only values are read here.
        warnings.simplefilter("ignore")
        try:
            book = load_workbook(BytesIO(content), read_only=True, keep_links=False)
            seen = [s for s in book.worksheets if s.sheet_state == "visible"]
            if not seen:
                raise _unreadable()
            seen[0].reset_dimensions()
        except NoSheet:
            raise
        # A reader that is fed with lies may fail in any manner; none is the server's.
        except Exception as fault:
            raise _unreadable() from fault
    return seen[0].title, _rows(seen[0])


def _rows(sheet: Any) -> Rows:
    from openpyxl.cell.read_only import EMPTY_CELL

    found = sheet.iter_rows(max_row=MOST_ROWS, max_col=MOST_COLUMNS)
    number, left_out = 0, ()
    while some := _next(found):
        for cells in some:
            number += 1
            # Rows that the file leaves out are one tuple, perhaps a million times.
            if cells is left_out:
                continue
            if all(cell is EMPTY_CELL for cell in cells):
                left_out = cells
                continue
            yield number, [_cell(cell, number) for cell in cells]


def _next(found: Iterator[Any]) -> list[Any]:
    """Take the next rows; so many at once that hiding warnings costs nothing."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            return list(islice(found, ROWS_AT_ONCE))
        except Exception as fault:
            raise _unreadable() from fault


def _cell(cell: Any, row: int) -> Cell:
    value, kind = cell.value, cell.data_type
    if kind == "f":
        return Formula(getattr(value, "text", None) or value)
    if kind == "e":
        return Broken(value)
    if isinstance(value, int | float) and not isinstance(value, bool):
        # As it is shown: 0.3, not 0.30000000000000004.
        return Decimal(f"{value:.{DIGITS}g}")
    if isinstance(value, date | datetime):
        return value
    return "" if value is None else _text(str(value).strip(), row)


def _text(text: str, row: int) -> Cell:
    if len(text) > LONGEST_CELL:
        raise NoSheet(
            gettext("A cell of this row holds more text than any cell here takes."),
            row,
        )
    return Formula(text) if text.startswith("=") else text


def _must_be_harmless(content: bytes) -> None:
    try:
        with zipfile.ZipFile(BytesIO(content)) as packed:
            parts = packed.infolist()
            # What is unpacked is never more than what a part says of itself.
            if (
                len(parts) > MOST_PARTS
                or sum(part.file_size for part in parts) > MOST_UNPACKED
            ):
                raise NoSheet(
                    gettext(
                        "This workbook is too large once it is unpacked. Save the "
                        "one sheet that is needed as CSV."
                    )
                )
            names = {part.filename for part in parts}
            if not {"[Content_Types].xml", "xl/workbook.xml"} <= names:
                raise NoSheet(
                    gettext("This file is neither a CSV list nor an XLSX workbook.")
                )
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    _must_declare_nothing(packed.read(part))
    except NoSheet:
        raise
    except Exception as fault:
        raise _unreadable() from fault


def _must_declare_nothing(part: bytes) -> None:
    if part[:2] in OTHER_LETTERS or any(word in part for word in DECLARES):
        raise _unreadable()


def _unreadable() -> NoSheet:
    return NoSheet(
        gettext(
            "This workbook cannot be read. Open it in the spreadsheet, save it again "
            "as XLSX or CSV and send that."
        )
    )
