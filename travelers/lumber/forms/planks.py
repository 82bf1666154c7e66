"""What is typed of the planks of a delivery, or read from a list?"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext

from travelers.kit.refusals import Refusal
from travelers.kit.words import remedy_of, sentence_of
from travelers.lumber import rules
from travelers.lumber.forms.lists import (
    CELLS,
    LENGTH,
    MASS,
    THICKNESS,
    WIDTH,
    ListFault,
    PlankList,
)
from travelers.lumber.rules import MOST_PLANKS_AT_ONCE, Expected, Sawn

FIRST_ROWS = 8
# As a hand writes it: the same as in the row above.
DITTO = {'"', "''", "″", "”", "〃"}


class PlankForm(forms.Form):
    """One row of planks; a row left empty is none.

    ``looked`` names the numbers that somebody looked at again, so that a tick does not
    hold for others that are typed after it.
    """

    use_required_attribute = False
    length_mm = LENGTH
    width_mm = WIDTH
    thickness_mm = THICKNESS
    mass_g = MASS
    looked = forms.CharField(required=False, max_length=80)

    def __init__(
        self, *args: Any, expected: Expected | None = None, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.expected = expected
        self.sawn: Sawn | None = None
        self.is_doubted = False

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if len(given) < len(self.fields) or not self.is_filled:
            return given
        self.sawn = Sawn(**{name: given[name] for name in CELLS})
        if refused := rules.not_wood(self.sawn):
            self.add_error("mass_g", _words(refused))
        elif doubt := rules.unlikely(self.sawn, self.expected):
            self.is_doubted = True
            if not self.was_looked_at:
                self.add_error("mass_g", _words(doubt))
        return given

    @property
    def is_filled(self) -> bool:
        return any(str(self[name].value() or "").strip() for name in CELLS)

    @property
    def cells(self) -> list[forms.BoundField]:
        return [self[name] for name in CELLS]

    @property
    def numbers(self) -> str:
        """Say the row's numbers as a tick vouches for them."""
        if self.sawn is None:
            return ""
        sizes = (self.sawn.length_mm, self.sawn.width_mm, self.sawn.thickness_mm)
        return " ".join([*(f"{size:.2f}" for size in sizes), str(self.sawn.mass_g)])

    @property
    def was_looked_at(self) -> bool:
        return bool(self.numbers) and self.cleaned_data.get("looked") == self.numbers

    @property
    def density_kg_m3(self) -> float | None:
        return self.sawn.density_kg_m3 if self.sawn else None

    def taken(self, by: int) -> Sawn:
        """Give the plank as it is to come in; who ticked it answers for it."""
        given = {name: self.cleaned_data[name] for name in CELLS}
        return Sawn(**given, looked_at_by=by if self.was_looked_at else None)


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a cell, said by row and column."""

    cell: str
    row: int
    column: str
    words: str


class Planks:
    """The rows of planks as they were typed, or as a list brought them."""

    def __init__(
        self,
        typed: Mapping[str, Any] | None = None,
        *,
        judged: bool = True,
        expected: Expected | None = None,
        brought: PlankList | None = None,
    ) -> None:
        """Take the rows in; with ``judged`` they are to be used, else only shown.

        ``brought`` is a list that was sent; its planks come after those typed.
        """
        self.is_begun = typed is not None
        self.count = _rows_of(typed)
        self.most = MOST_PLANKS_AT_ONCE
        self.brought = brought
        if typed is not None and "more" in typed:
            self.count = min(self.count + FIRST_ROWS, self.most)
        cells = _repeated(typed or {}, self.count)
        if brought:
            cells, self.count = brought.beneath(cells, self.count)
            judged = brought.is_laid_out
        is_bound = judged and typed is not None
        self.rows = [
            PlankForm(
                cells if is_bound else None,
                prefix=_prefix(row),
                initial={} if judged else _row(cells, row),
                empty_permitted=True,
                expected=expected,
            )
            for row in range(self.count)
        ]
        if self.is_begun:
            self._keep()
        if brought and is_bound:
            self._say_what_the_list_said(brought)

    def _keep(self) -> None:
        """Mark the cells as newer than what the browser kept of an earlier page."""
        for row in self.rows:
            for name in CELLS:
                row.fields[name].widget.attrs["data-shop-given"] = ""

    def _say_what_the_list_said(self, brought: PlankList) -> None:
        for bad in brought.bad_cells:
            row = self.rows[bad.row - 1]
            row.errors[bad.name] = row.error_class([bad.words])

    @property
    def may_grow(self) -> bool:
        return self.count < self.most

    @property
    def list_faults(self) -> tuple[ListFault, ...]:
        return self.brought.faults if self.brought else ()

    def are_good(self) -> bool:
        """Say whether each row is whole or empty, and one at least is whole."""
        return not self.faults() and any(row.is_filled for row in self.rows)

    def planks(self, by: int) -> list[Sawn]:
        return [row.taken(by) for row in self.rows if row.is_bound and row.is_filled]

    def faults(self) -> list[Fault]:
        return [
            Fault(
                row[name].id_for_label,
                number,
                str(row.fields[name].label),
                " ".join(map(str, errors)),
            )
            for number, row in enumerate(self.rows, start=1)
            for name, errors in row.errors.items()
        ]

    def lack(self) -> str:
        """Say what is missing where no row is filled at all."""
        if any(row.is_bound for row in self.rows) and not self.faults():
            good = any(row.is_filled for row in self.rows)
            return "" if good else gettext("Fill in at least one plank.")
        return ""


def _words(refusal: Refusal) -> str:
    return f"{sentence_of(refusal)} {remedy_of(refusal)}"


def _rows_of(typed: Mapping[str, Any] | None) -> int:
    said = str((typed or {}).get("rows", FIRST_ROWS))
    rows = int(said) if said.isdecimal() and len(said) < 4 else FIRST_ROWS
    return min(max(rows, 1), MOST_PLANKS_AT_ONCE)


def _prefix(row: int) -> str:
    return f"plank-{row + 1}"


def _row(cells: Mapping[str, str], row: int) -> dict[str, str]:
    return {name: cells.get(f"{_prefix(row)}-{name}", "") for name in CELLS}


def _repeated(typed: Mapping[str, Any], rows: int) -> dict[str, str]:
    """Read the cells, and put for a ditto what stands above it."""
    cells: dict[str, str] = {}
    for row in range(rows):
        for name in CELLS:
            value = str(typed.get(f"{_prefix(row)}-{name}", "")).strip()
            if value in DITTO and row:
                value = cells[f"{_prefix(row - 1)}-{name}"]
            cells[f"{_prefix(row)}-{name}"] = value
        if any(_row(cells, row).values()):
            looked = f"{_prefix(row)}-looked"
            cells[looked] = str(typed.get(looked, ""))
    return cells
