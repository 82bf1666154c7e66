"""What can stand in a cell, and how is a bad one told of?"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import TypeAlias

# So much of a value is told back.
LONGEST_SHOWN = 40


class Formula(str):
    """What a cell would reckon; it is never reckoned here."""

    __slots__ = ()


class Broken(str):
    """What a spreadsheet shows where its own reckoning failed, as #DIV/0!."""

    __slots__ = ()


# A workbook keeps numbers and dates as such; a text file has only texts.
Cell: TypeAlias = str | Decimal | datetime | date
# The row's number as a spreadsheet counts it, and its cells.
Rows: TypeAlias = Iterator[tuple[int, list[Cell]]]


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong, and where; without ``row`` it is with the whole file."""

    row: int | None
    column: str
    value: str
    sentence: str


class NoSheet(Exception):
    """The file is no list at all, or cannot be read further."""

    def __init__(self, sentence: str, row: int | None = None) -> None:
        super().__init__(sentence)
        self.sentence, self.row = sentence, row


def shown(cell: Cell) -> str:
    """Say a cell's value on one short line, without what cannot be seen."""
    text = f"{cell:f}" if isinstance(cell, Decimal) else str(cell)
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return plain if len(plain) <= LONGEST_SHOWN else plain[: LONGEST_SHOWN - 1] + "…"


def is_filled(cell: Cell) -> bool:
    return bool(cell.strip()) if isinstance(cell, str) else True
