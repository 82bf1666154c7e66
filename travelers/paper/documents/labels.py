"""How are tags and labels laid out on a sheet of labels, or on a roll?"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils import translation
from django.utils.translation import gettext

from travelers.paper.documents.press import Press
from travelers.paper.queries import (
    BadgeSheet,
    BatchSheet,
    LabelSheet,
    StudySheet,
    TagSheet,
)
from travelers.paper.rules import Stock


@dataclass(frozen=True, slots=True)
class Cell:
    """A label and its place on the sheet, counted from one."""

    row: int
    column: int
    label: Any


@dataclass(frozen=True, slots=True)
class Sheets:
    """``face`` and ``form`` are classes of the style sheet: a label's and a sheet's."""

    title: str
    face: str
    form: str
    sheets: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True)
class Grid:
    columns: int
    rows: int


@dataclass(frozen=True, slots=True)
class Kind:
    """The template that fills in a label, its look, and the sheets it is cut out of."""

    template: str
    face: str
    division: str


KINDS = {
    "tags": Kind("paper/tags.html", face="tag", division="tags"),
    "badges": Kind("paper/badges.html", face="badge", division="tags"),
    "labels": Kind("paper/labels.html", face="wood", division="labels"),
    "batch": Kind("paper/batch.html", face="wood", division="labels"),
    "study": Kind("paper/study_cards.html", face="wood", division="labels"),
}
# Common practice, no source: the usual divisions of label sheets.  Each is a form of
# the style sheet, which has the measures.
GRIDS = {
    "tags-a4": Grid(columns=2, rows=5),
    "tags-letter": Grid(columns=2, rows=5),
    "tags-roll": Grid(columns=1, rows=1),
    "labels-a4": Grid(columns=3, rows=7),
    "labels-letter": Grid(columns=3, rows=10),
    "labels-roll": Grid(columns=1, rows=1),
}


def tags(*, sheet: TagSheet) -> bytes:
    """Print the tags that hang on parts."""
    with translation.override(sheet.language):
        title = gettext("Tags of order {number}").format(number=sheet.name)
        return _printed("tags", title, sheet.tags, sheet)


def labels(*, sheet: LabelSheet) -> bytes:
    """Print the labels that stick on wood."""
    with translation.override(sheet.language):
        title = gettext("Labels of {number}").format(number=sheet.name)
        return _printed("labels", title, sheet.labels, sheet)


def batch_label(*, sheet: BatchSheet) -> bytes:
    """Print the label that sticks on a batch."""
    with translation.override(sheet.language):
        title = gettext("Label of batch {number}").format(number=sheet.name)
        return _printed("batch", title, sheet.labels, sheet)


def study_cards(*, sheet: StudySheet) -> bytes:
    """Print the cards that lie beside the parts of a gauge study."""
    with translation.override(sheet.language):
        title = gettext("Cards of a gauge study: {gauge}").format(gauge=sheet.name)
        return _printed("study", title, sheet.cards, sheet)


def badges(*, sheet: BadgeSheet) -> bytes:
    """Print the badges that people carry; the secrets are nowhere else."""
    with translation.override(sheet.language):
        title = gettext("Badges")
        return _printed("badges", title, sheet.badges, sheet)


def _printed(
    name: str,
    title: str,
    labels: Sequence[Any],
    sheet: TagSheet | LabelSheet | BadgeSheet | BatchSheet | StudySheet,
) -> bytes:
    kind = KINDS[name]
    size = "roll" if sheet.stock is Stock.ROLL else sheet.size
    form = f"{kind.division}-{size}"
    page = Sheets(title, kind.face, form, tuple(_sheets(labels, GRIDS[form])))
    press = Press("paper/paper.css", "paper/labels.css")
    return press.print(kind.template, page)


def _sheets(labels: Sequence[Any], grid: Grid) -> Iterator[tuple[Cell, ...]]:
    most = grid.columns * grid.rows
    for first in range(0, len(labels), most):
        yield tuple(
            Cell(1 + place // grid.columns, 1 + place % grid.columns, label)
            for place, label in enumerate(labels[first : first + most])
        )
