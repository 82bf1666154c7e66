"""How is it found out whether a printer and a scanner suit each other?"""

from dataclasses import dataclass

from django.utils import translation
from django.utils.translation import gettext

from travelers.paper.documents.press import Press
from travelers.paper.queries import CardSheet, StationCard

# Widths of a module: below what is used, a label's, a traveler's, and above (points 35
# and 37 of docs/points.md).
MODULES_MM = (0.25, 0.33, 0.42, 0.5, 0.65)
LABEL_MM, TRAVELER_MM = 0.33, 0.5


@dataclass(frozen=True, slots=True)
class Row:
    """One symbol of the sheet: how wide its modules are, and what is so printed."""

    module_mm: float
    is_label: bool
    is_traveler: bool


@dataclass(frozen=True, slots=True)
class PrintCheck:
    title: str
    tag: StationCard
    rows: tuple[Row, ...]


def print_check(*, sheet: CardSheet) -> bytes:
    """Print one station's symbol in five sizes, and what to do with the sheet."""
    rows = tuple(Row(mm, mm == LABEL_MM, mm == TRAVELER_MM) for mm in MODULES_MM)
    with translation.override(sheet.language):
        page = PrintCheck(gettext("Print check"), sheet.cards[0], rows)
        styles = ("paper/paper.css", f"paper/{sheet.size}.css", "paper/print_check.css")
        return Press(*styles).print("paper/print_check.html", page)
