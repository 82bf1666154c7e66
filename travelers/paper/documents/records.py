"""How is an instrument's build record printed: a page to own, a page to service?"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.utils import translation
from django.utils.translation import gettext

from travelers.floor.queries import Measure
from travelers.kit.drawing.pen import num, picture, tag
from travelers.paper.documents.press import Laid, Press
from travelers.paper.queries import RecordSheet, Swapped
from travelers.paper.rules import Leg, Printing
from travelers.quality.queries import Finding
from travelers.routes.rules import Branch

PAGES = 2
# What is set up anew in its life stands first.
SERVICE = (Branch.ASSEMBLY, Branch.NECK, Branch.BODY, Branch.ELECTRONICS)
BAR_WIDE, BAR_HIGH, BAR_LEAST = 1000.0, 60.0, 10.0


@dataclass(frozen=True, slots=True)
class Room:
    """How many rows of each kind are printed; the rest is counted."""

    measures: int
    rows: int


# From the fullest to the least; the fullest that stands on two pages is printed.
ROOMS = (
    Room(90, 10), Room(90, 7), Room(90, 5), Room(90, 3), Room(70, 3), Room(60, 3),
    Room(52, 3), Room(44, 3), Room(36, 3), Room(24, 2), Room(12, 1), Room(4, 1),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Group:
    branch: Branch
    rows: tuple[Measure, ...]


@dataclass(frozen=True, slots=True)
class Printed:
    """What the template shows of a sheet where there is so much room."""

    title: str
    sheet: RecordSheet
    printing: Printing
    room: Room

    @property
    def measured(self) -> list[Measure]:
        rows = [one for one in self.sheet.measures if one.is_measured]
        return sorted(rows, key=lambda one: SERVICE.index(one.branch))

    @property
    def groups(self) -> tuple[Group, ...]:
        shown = self.measured[: self.room.measures]
        return tuple(
            Group(branch, tuple(some))
            for branch, some in groupby(shown, key=lambda one: one.branch)
        )

    @property
    def more_measures(self) -> int:
        return max(0, len(self.measured) - self.room.measures)

    @property
    def has_outside(self) -> bool:
        return not all(one.is_inside for group in self.groups for one in group.rows)

    @property
    def judged(self) -> int:
        return len(self.sheet.measures) - len(self.measured)

    @property
    def judged_not_good(self) -> tuple[str, ...]:
        """Name what was counted or judged, and was not as wanted at last."""
        return tuple(
            one.check.name
            for one in self.sheet.measures
            if not (one.is_measured or one.is_inside)
        )

    @property
    def repaired(self) -> list[Finding]:
        return [one for one in self.sheet.findings if one.is_repaired]

    @property
    def repairs(self) -> Sequence[Finding]:
        return self.repaired[: self.room.rows]

    @property
    def more_repairs(self) -> int:
        return max(0, len(self.repaired) - self.room.rows)

    @property
    def findings(self) -> Sequence[Finding]:
        return self.sheet.findings[: self.room.rows]

    @property
    def more_findings(self) -> int:
        return max(0, len(self.sheet.findings) - self.room.rows)

    @property
    def swaps(self) -> Sequence[Swapped]:
        return self.sheet.swaps[: self.room.rows]

    @property
    def more_swaps(self) -> int:
        return max(0, len(self.sheet.swaps) - self.room.rows)


def build_record(*, sheet: RecordSheet, printing: Printing) -> bytes:
    """Print a finished instrument's life on two pages, whatever happened to it."""
    with translation.override(sheet.language):
        title = gettext("Build record of {serial}").format(serial=sheet.serial)
        styles = ("paper/paper.css", f"paper/{sheet.size}.css", "paper/record.css")
        press = Press(*styles)

        def lay(room: Room) -> Laid:
            page = Printed(title, sheet, printing, room)
            return press.lay("paper/record.html", page)

        return _fullest(lay).written()


def bar(leg: Leg, told: str) -> str:
    """Draw a leg of the way as a bar on the line of the whole."""
    wide = max((leg.ends - leg.begins) * BAR_WIDE, BAR_LEAST)
    left = min(leg.begins * BAR_WIDE, BAR_WIDE - wide)
    middle = num(BAR_HIGH / 2)
    return picture(
        tag("path", d=f"M0 {middle}H{num(BAR_WIDE)}", stroke="#000", stroke_width=3),
        tag("rect", x=left, y=8, width=wide, height=BAR_HIGH - 16, fill="#000"),
        box=(BAR_WIDE, BAR_HIGH),
        title=told,
        class_="bar",
    )


def _fullest(lay: Callable[[Room], Laid]) -> Laid:
    """Find the fullest that stands on two pages by halving what is left to try.

    A usual instrument has all its rows, so that is tried first; the least is printed
    even where it did not fit.
    """
    first, last = 0, len(ROOMS) - 1
    place, fits = first, None
    while first <= last:
        laid = lay(ROOMS[place])
        if len(laid.document.pages) <= PAGES:
            fits, last = laid, place - 1
        else:
            first = place + 1
        place = (first + last) // 2
    return fits or lay(ROOMS[-1])
