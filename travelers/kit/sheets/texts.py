"""How is a list read that is a text, its cells parted by a mark?

RFC 4180 says how cells are quoted.  Which mark parts them, and in which letters it is
written, no file says: both are found out.
"""

import csv
from collections.abc import Callable, Sequence
from contextlib import suppress
from io import StringIO
from itertools import islice

from django.utils.translation import gettext

from travelers.kit.sheets.cells import Cell, Formula, NoSheet, Rows

PARTINGS = ",;\t"
LONGEST_CELL = 4_000
MOST_CELLS = 200
# In so many first rows the head is looked for.
HEAD_WITHIN = 20
BYTE_ORDER_MARKS = {
    b"\xef\xbb\xbf": "utf-8-sig",
    b"\xff\xfe": "utf-16",
    b"\xfe\xff": "utf-16",
}
LINE_ENDS = "\t\n\r\f"


def text_rows(content: bytes, *, known: Callable[[Sequence[Cell]], int]) -> Rows:
    """Give the rows of a text; ``known`` says how many headings of a row are known."""
    text = _decoded(content)
    parting, text = _told_parting(text)
    parting = parting or _best_parting(text, known)
    yield from _rows(text, parting)


def _decoded(content: bytes) -> str:
    for mark, letters in BYTE_ORDER_MARKS.items():
        if content.startswith(mark):
            return _plain(content, letters)
    try:
        return _plain(content, "utf-8")
    except NoSheet:
        return _plain(content, "cp1252")


def _plain(content: bytes, letters: str) -> str:
    """Decode a text; control signs mean that it is none."""
    try:
        text = content.decode(letters)
    except UnicodeDecodeError as fault:
        raise NoSheet(
            gettext(
                "The letters of this file cannot be read. Save it as CSV in UTF-8 "
                "and send it again."
            )
        ) from fault
    if any(ord(sign) < 32 and sign not in LINE_ENDS for sign in set(text)):
        raise NoSheet(gettext("This file is neither a CSV list nor an XLSX workbook."))
    return text


def _told_parting(text: str) -> tuple[str, str]:
    """Take off a first line as ``sep=;``, which some spreadsheets write."""
    first, _, rest = text.partition("\n")
    told = first.strip()
    if told[:4].casefold() == "sep=" and told[4:] in [*PARTINGS]:
        return told[4:], rest
    if first.rstrip("\r") == "sep=\t":
        return "\t", rest
    return "", text


def _best_parting(text: str, known: Callable[[Sequence[Cell]], int]) -> str:
    """Choose the mark by which most headings are known, and most cells parted."""
    return max(PARTINGS, key=lambda parting: _fit(text, parting, known))


def _fit(
    text: str, parting: str, known: Callable[[Sequence[Cell]], int]
) -> tuple[int, int]:
    first: list[list[Cell]] = []
    # What cannot be read further is told once the mark is chosen.
    with suppress(NoSheet):
        first.extend(cells for _, cells in islice(_rows(text, parting), HEAD_WITHIN))
    return (
        max((known(cells) for cells in first), default=0),
        max((len(cells) for cells in first), default=0),
    )


def _rows(text: str, parting: str) -> Rows:
    even = text.replace("\r\n", "\n").replace("\r", "\n")
    reader = csv.reader(StringIO(even), delimiter=parting, strict=True)
    number = 0
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as fault:
            said = gettext(
                "The quotation marks of this row do not match, so it cannot be told "
                "where its cells end."
            )
            raise NoSheet(said, number + 1) from fault
        if cells is None:
            return
        number += 1
        _must_be_short(number, cells)
        yield number, [_cell(cell) for cell in cells]


def _must_be_short(number: int, cells: Sequence[str]) -> None:
    if len(cells) > MOST_CELLS:
        said = gettext("This row has more cells than any list here has columns.")
        raise NoSheet(said, number)
    if any(len(cell) > LONGEST_CELL for cell in cells):
        said = gettext("A cell of this row holds more text than any cell here takes.")
        raise NoSheet(said, number)


def _cell(text: str) -> Cell:
    """Tell a formula from a value: it would be reckoned by whoever opens the list.

    A sign before a number is no formula; before other words it is one.
    """
    bare = text.strip()
    if bare[:1] in ("=", "@"):
        return Formula(bare)
    if bare[:1] in ("+", "-") and len(bare) > 1 and not bare[1:].lstrip()[:1].isdigit():
        return bare if bare[1:].lstrip()[:1] in (".", ",") else Formula(bare)
    return bare
