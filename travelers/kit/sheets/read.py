"""How does a file become rows whose every cell is known to be good, or named?"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import partial
from itertools import chain
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext, ngettext

from travelers.formulas.limits import NotANumber, read_number
from travelers.kit.forms import Number
from travelers.kit.sheets.cells import (
    Broken,
    Cell,
    Fault,
    Formula,
    NoSheet,
    Rows,
    is_filled,
    shown,
)
from travelers.kit.sheets.columns import Column, Head, Place, head_of, in_unit, known_in
from travelers.kit.sheets.texts import HEAD_WITHIN, text_rows
from travelers.kit.sheets.workbooks import OLD, PACKED, workbook_rows

MOST_BYTES = 5_000_000
# So many faults are named one by one; of more there is a count.
MOST_FAULTS = 100
# ``1.234`` is a thousand to one hand and a little more than one to the other.
TWO_WAYS = re.compile(r"[+-]?([1-9][0-9]{0,2})[.,]([0-9]{3})(?![0-9.,]).*")


@dataclass(frozen=True, slots=True)
class Line:
    """A row: its cells as texts in the columns' units, and those that are good.

    ``number`` is the row's own in the file, as a spreadsheet counts.
    """

    number: int
    texts: Mapping[str, str]
    values: Mapping[str, Any]


@dataclass(slots=True)
class Sheet:
    """What a file said: all rows, and what is wrong with any of them.

    ``tab`` is the sheet of a workbook that was read, ``unread`` are headings that
    nobody asked for, ``more`` is how many faults are not in ``faults``.
    """

    tab: str = ""
    unread: tuple[str, ...] = ()
    lines: list[Line] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    more: int = 0

    @property
    def is_good(self) -> bool:
        return not self.faults

    def blame(self, fault: Fault) -> None:
        """Add a fault, one that only who asked for the list can see for instance."""
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(fault)
        else:
            self.more += 1


def read_sheet(
    content: bytes, *, size: int, columns: Sequence[Column], most_rows: int
) -> Sheet:
    """Read a CSV list or an XLSX workbook; nothing but what it says is believed.

    ``size`` is how much was sent; of too much the content was not kept.  The kind is
    told by the content, never by a name.
    """
    sheet = Sheet()
    try:
        _must_be_a_file(content, size)
        if content.startswith(PACKED):
            sheet.tab, rows = workbook_rows(content)
        else:
            rows = text_rows(content, known=partial(known_in, columns=columns))
        head, rows = _head(rows, columns)
        sheet.unread = head.unread
        for fault in head.faults:
            sheet.blame(fault)
        if not sheet.faults:
            _read_lines(sheet, rows, head, most_rows)
    except NoSheet as no:
        sheet.blame(Fault(no.row, "", "", no.sentence))
    return sheet


def _must_be_a_file(content: bytes, size: int) -> None:
    if size > MOST_BYTES:
        raise NoSheet(
            gettext("This file is larger than 5 MB. Send the rows in several lists.")
        )
    if not content.strip():
        raise NoSheet(gettext("This file is empty."))
    if content.startswith(OLD):
        raise NoSheet(
            gettext(
                "This workbook is of an old kind, or has a password. Save it without "
                "one as XLSX or CSV and send that."
            )
        )


def _head(rows: Rows, columns: Sequence[Column]) -> tuple[Head, Rows]:
    """Find the head among the first rows, and give it with all rows beneath it."""
    first: list[tuple[int, list[Cell]]] = []
    for number, cells in rows:
        if any(map(is_filled, cells)):
            first.append((number, cells))
        if len(first) == HEAD_WITHIN:
            break
    knowns = [known_in(cells, columns) for _, cells in first]
    if not any(knowns):
        needed = ", ".join(column.title for column in columns)
        said = gettext("No row names the columns. The list needs a row with: {columns}")
        raise NoSheet(said.format(columns=needed))
    at = knowns.index(max(knowns))
    head = head_of(*first[at], columns)
    return head, chain(first[at + 1 :], rows)


def _read_lines(sheet: Sheet, rows: Rows, head: Head, most_rows: int) -> None:
    for number, cells in rows:
        if not any(map(is_filled, cells)):
            continue
        if len(sheet.lines) == most_rows:
            said = ngettext(
                "The list has more than {most} row; send the others in another list.",
                "The list has more than {most} rows; send the others in another list.",
                most_rows,
            )
            raise NoSheet(said.format(most=most_rows), number)
        sheet.lines.append(_line(sheet, number, cells, head))
    if not sheet.lines:
        raise NoSheet(gettext("There is no row beneath the columns’ names."), head.row)


def _line(sheet: Sheet, number: int, cells: Sequence[Cell], head: Head) -> Line:
    if any(map(is_filled, cells[head.width :])):
        said = gettext(
            "This row has {n} cells, but {head} columns have a name. A decimal comma "
            "in a list whose cells are parted by commas must stand in quotation marks."
        )
        filled = max(i for i, cell in enumerate(cells, 1) if is_filled(cell))
        sheet.blame(Fault(number, "", "", said.format(n=filled, head=head.width)))
        return Line(number, {}, {})
    texts: dict[str, str] = {}
    values: dict[str, Any] = {}
    for place in head.places:
        cell = cells[place.index] if place.index < len(cells) else ""
        name = place.column.name
        texts[name] = shown(cell)
        try:
            told = _told(cell, place)
            texts[name] = shown(told)
            values[name] = place.column.field.clean(
                f"{told:f}" if isinstance(told, Decimal) else told
            )
        except ValidationError as fault:
            for said in fault.messages:
                sheet.blame(Fault(number, place.column.title, shown(cell), said))
    return Line(number, texts, values)


def _told(cell: Cell, place: Place) -> Cell:
    """Give what a cell says, for its column's field to judge."""
    column = place.column
    if isinstance(cell, Formula):
        raise ValidationError(
            gettext("This cell holds a formula; put in its value instead.")
        )
    if isinstance(cell, Broken):
        raise ValidationError(gettext("The spreadsheet could not reckon this cell."))
    if not is_filled(cell):
        if column.field.required:
            raise ValidationError(gettext("This cell is empty."))
        return ""
    if isinstance(column.field, Number):
        return _number(cell, column.field, place)
    if isinstance(cell, date) and not column.takes_dates:
        return cell.isoformat()
    return cell


def _number(cell: Cell, asked: Number, place: Place) -> Cell:
    if isinstance(cell, date):
        raise ValidationError(
            gettext(
                "The spreadsheet has made a date of this number. Format the cell as "
                "a number and type it again."
            )
        )
    if isinstance(cell, str):
        found = TWO_WAYS.fullmatch(cell.strip())
        if found and asked.decimals < 3 and not place.column.rounds:
            said = gettext(
                "This can be read as {small} or as {large}. Write it without a mark "
                "for the thousands and with fewer decimals."
            )
            whole, rest = found.groups()
            raise ValidationError(
                said.format(small=f"{whole}.{rest}", large=f"{whole}{rest}")
            )
    if not (place.unit or place.column.rounds):
        return cell
    return _fitted(cell, asked, place)


def _fitted(cell: Cell, asked: Number, place: Place) -> Cell:
    """Convert a number from the unit of its head, and round it where that is right."""
    try:
        typed = read_number(shown(cell) if isinstance(cell, Decimal) else str(cell))
    except NotANumber:
        # The field says what is wrong with it.
        return cell
    if typed.unit not in (None, place.unit or asked.unit):
        return cell
    unit = typed.unit or place.unit
    value = in_unit(typed.value, unit, asked.unit) if unit else typed.value
    if value is None:
        return cell
    return round(value, asked.decimals) if place.column.rounds else value.normalize()
