"""Which columns does a list have, whatever language and unit its head is in?"""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from django import forms
from django.utils.translation import gettext

from travelers.formulas.limits import convert
from travelers.kit.forms import Number, said_unit
from travelers.kit.sheets.cells import Cell, Fault, is_filled, shown

# ``Length (mm)``, ``length_mm``, ``Length in mm``: the words, then the unit.
WITH_UNIT = re.compile(
    r"(?P<words>.*?)(?:[\s_,/:-]+(?:(?:in|en)\s+)?[(\[]?|[(\[])\s*"
    r"(?P<unit>[^\s()\[\]_,/:]+)\s*[)\]]?\s*",
    re.IGNORECASE,
)
# What a head may say, though no single value at a bench may be in them.
TIMES = {
    ("cm", "mm"): Decimal(10),
    ("m", "mm"): Decimal(1000),
    ("c", "degC"): Decimal(1),
    **{(told, "%"): Decimal(1) for told in ("%rh", "%hr", "%rf", "rh", "hr", "rf")},
}
SIGNS = re.compile(r"[^a-z0-9%°#]+")


@dataclass(frozen=True, slots=True)
class Column:
    """A column that a list may have.

    ``field`` reads its cells and says what is wrong with one; its label is the
    column's name for people.  ``also`` are other headings by which it is known.
    """

    name: str
    field: forms.Field
    also: tuple[str, ...] = ()
    # Round what is given more exactly than it is kept, as gauges do it.
    rounds: bool = False

    @property
    def label(self) -> str:
        return str(self.field.label)

    @property
    def unit(self) -> str:
        return self.field.unit if isinstance(self.field, Number) else ""

    @property
    def title(self) -> str:
        """Say its name with its unit, as a head would."""
        unit = said_unit(self.unit)
        named = unit and unit not in self.label
        return f"{self.label} ({unit})" if named else self.label

    @property
    def takes_dates(self) -> bool:
        return isinstance(self.field, forms.DateField | forms.DateTimeField)

    def is_called(self, words: str) -> bool:
        names = (self.name, self.label, self.title, *self.also)
        return words in {_words(name) for name in names}


@dataclass(frozen=True, slots=True)
class Place:
    """Where a column stands in a list, and in which unit; "" is its own."""

    column: Column
    index: int
    unit: str


@dataclass(frozen=True, slots=True)
class Head:
    """The row of the headings: what is read beneath it, and what is not."""

    row: int
    width: int
    places: tuple[Place, ...]
    unread: tuple[str, ...]
    faults: tuple[Fault, ...]


def in_unit(value: Decimal, unit: str, asked: str) -> Decimal | None:
    """Convert a value between units; None where no exact factor is known."""
    times = TIMES.get((unit.casefold(), asked))
    return convert(value, unit, asked) if times is None else times * value


def known_in(cells: Sequence[Cell], columns: Sequence[Column]) -> int:
    """Count the columns that a row names."""
    return len(
        {
            found[0].name
            for cell in cells
            if (found := _match(cell, columns)) is not None
        }
    )


def head_of(row: int, cells: Sequence[Cell], columns: Sequence[Column]) -> Head:
    """Read a head: each column once, those that are needed all there."""
    places: dict[str, Place] = {}
    unread: list[str] = []
    faults: list[Fault] = []
    for index, cell in enumerate(cells):
        found = _match(cell, columns)
        if found is None:
            unread += [shown(cell)] if is_filled(cell) else []
            continue
        column, unit = found
        if column.name in places:
            said = gettext("This column stands here twice; leave one of them out.")
            faults.append(Fault(row, column.title, shown(cell), said))
        elif unit and in_unit(Decimal(1), unit, column.unit) is None:
            faults.append(_no_such_unit(row, column, cell, unit))
        places.setdefault(column.name, Place(column, index, unit))
    for column in columns:
        if column.field.required and column.name not in places:
            said = gettext("This column is missing from the list.")
            faults.append(Fault(row, column.title, "", said))
    width = max((i for i, cell in enumerate(cells, 1) if is_filled(cell)), default=0)
    return Head(row, width, tuple(places.values()), tuple(unread), tuple(faults))


def _match(cell: Cell, columns: Sequence[Column]) -> tuple[Column, str] | None:
    """Find the column that a heading names, and the unit that it says."""
    if not isinstance(cell, str) or not cell.strip():
        return None
    whole = _words(cell)
    for column in columns:
        if column.is_called(whole):
            return column, ""
    found = WITH_UNIT.fullmatch(cell.strip())
    if found is None:
        return None
    words = _words(found["words"])
    for column in columns:
        if column.is_called(words):
            return column, found["unit"] if column.unit else ""
    return None


@lru_cache(maxsize=1024)
def _words(heading: str) -> str:
    """Give a heading without accents, capitals and signs, so that like meets like."""
    bare = unicodedata.normalize("NFKD", heading).casefold()
    letters = "".join(sign for sign in bare if not unicodedata.combining(sign))
    return SIGNS.sub(" ", letters).strip()


def _no_such_unit(row: int, column: Column, cell: Cell, unit: str) -> Fault:
    said = gettext("This column is asked in {unit}; {typed} cannot be converted.")
    return Fault(
        row,
        column.title,
        shown(cell),
        said.format(unit=said_unit(column.unit), typed=shown(unit)),
    )
