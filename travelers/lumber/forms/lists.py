"""How does a supplier's list become rows of planks?"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from travelers.kit.forms import Count, Number
from travelers.kit.sheets import Column, Line, read_sheet, shown
from travelers.lumber.rules import MOST_PLANKS_AT_ONCE

LENGTH = Number(label=_("Length"), unit="mm", most=Decimal(20_000))
WIDTH = Number(label=_("Width"), unit="mm", most=Decimal(2_000))
THICKNESS = Number(label=_("Thickness"), unit="mm", most=Decimal(500))
MASS = Count(label=_("Mass"), unit="g", most=1_000_000)
# Each by the names that lists in English, Spanish and German have for it.
COLUMNS = (
    Column("length_mm", LENGTH, ("length", "l", "largo", "longitud", "lange")),
    Column("width_mm", WIDTH, ("width", "w", "ancho", "anchura", "breite")),
    Column(
        "thickness_mm",
        THICKNESS,
        ("thickness", "thick", "t", "grosor", "grueso", "espesor", "dicke", "starke"),
    ),
    Column("mass_g", MASS, ("mass", "weight", "masa", "peso", "masse", "gewicht")),
)
CELLS = tuple(column.name for column in COLUMNS)


@dataclass(frozen=True, slots=True)
class ListFault:
    """What is wrong with a list as such, or with a row before its cells are known."""

    row: int | None
    column: str
    value: str
    words: str


@dataclass(frozen=True, slots=True)
class BadCell:
    """A cell that the list gave wrongly, by its row among those on the page."""

    row: int
    name: str
    words: str


class PlankList:
    """A list that was sent: its planks are laid out among the rows, or none is."""

    def __init__(self, file: "UploadedFile[bytes] | None") -> None:
        self.file = shown(file.name or "") if file else ""
        self.faults: tuple[ListFault, ...] = ()
        self.bad_cells: tuple[BadCell, ...] = ()
        self.tab, self.unread = "", ""
        self.lines: list[Line] = []
        if file is None:
            self.faults = (ListFault(None, "", "", gettext("Choose a file first.")),)
            return
        self._read(file)

    def _read(self, file: "UploadedFile[bytes]") -> None:
        sheet = read_sheet(
            file.read(),
            size=file.size or 0,
            columns=COLUMNS,
            most_rows=MOST_PLANKS_AT_ONCE,
        )
        self.tab, self.unread = sheet.tab, ", ".join(sheet.unread)
        self.lines = sheet.lines
        rows = {line.number for line in sheet.lines}
        names = {column.title: column.name for column in COLUMNS}
        at_cells = [one for one in sheet.faults if one.row in rows and one.column]
        if len(at_cells) == len(sheet.faults) and not sheet.more:
            places = {line.number: at for at, line in enumerate(self.lines, start=1)}
            self.bad_cells = tuple(
                BadCell(
                    places[one.row or 0],
                    names[one.column],
                    _of_the_list(one.row or 0, one.sentence),
                )
                for one in at_cells
            )
            return
        self.faults = tuple(
            ListFault(one.row, one.column, one.value, one.sentence)
            for one in sheet.faults
        )
        if sheet.more:
            self._also(sheet.more)

    def _also(self, more: int) -> None:
        said = ngettext("And {n} cell more.", "And {n} cells more.", more)
        self.faults += (ListFault(None, "", "", said.format(n=more)),)

    @property
    def is_laid_out(self) -> bool:
        """Say whether its planks stand among the rows now."""
        return not self.faults

    def beneath(
        self, cells: Mapping[str, str], rows: int
    ) -> tuple[dict[str, str], int]:
        """Lay its planks out beneath the rows that are typed already."""
        typed = max(
            (
                row
                for row in range(1, rows + 1)
                if any(cells.get(f"plank-{row}-{name}") for name in CELLS)
            ),
            default=0,
        )
        count = typed + len(self.lines)
        if self.is_laid_out and count > MOST_PLANKS_AT_ONCE:
            said = gettext(
                "Together with those typed there would be {n} planks; {most} at once "
                "are the most."
            )
            said = said.format(n=count, most=MOST_PLANKS_AT_ONCE)
            self.faults = (ListFault(None, "", "", said),)
        if not self.is_laid_out:
            return dict(cells), rows
        self.bad_cells = tuple(
            BadCell(one.row + typed, one.name, one.words) for one in self.bad_cells
        )
        bad = {(one.row, one.name) for one in self.bad_cells}
        laid = dict(cells)
        for row, line in enumerate(self.lines, start=typed + 1):
            for column in COLUMNS:
                text = line.texts.get(column.name, "")
                if (row, column.name) in bad and _would_pass(column, text):
                    # Typed again it would be read otherwise than it may be meant.
                    text = ""
                laid[f"plank-{row}-{column.name}"] = text
        return laid, count


def _would_pass(column: Column, text: str) -> bool:
    try:
        column.field.clean(text)
    except ValidationError:
        return False
    return True


def _of_the_list(row: int, words: str) -> str:
    said = gettext("{words} (row {row} of the list)")
    return said.format(words=words, row=row)


def list_of(files: Mapping[str, Any], *, is_asked: bool) -> PlankList | None:
    """Give the list that was sent, or asked for; None where neither is so."""
    file = files.get("list")
    return PlankList(file) if file or is_asked else None
