"""How is an instrument's build record printed: a page to own, a page to service?"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from django.utils import translation
from django.utils.translation import gettext

from travelers.floor.queries import Measure
from travelers.kit.drawing.pen import num, picture, tag
from travelers.paper.documents.press import Press
from travelers.paper.queries import RecordSheet, Swapped
from travelers.paper.rules import Leg, Printing
from travelers.quality.queries import Finding
from travelers.routes.rules import Branch

# What is set up anew in its life stands first.
SERVICE = (Branch.ASSEMBLY, Branch.NECK, Branch.BODY, Branch.ELECTRONICS)
BAR_WIDE, BAR_HIGH, BAR_LEAST = 1000.0, 60.0, 10.0


@dataclass(frozen=True, slots=True)
class Room:
    """How many rows of each kind a page has; the rest is counted.

    Where a page is tight its letters are smaller, too.
    """

    rows: int
    measures: int = 0
    is_tight: bool = False


# From the fullest to the least; the fullest that stands on one page is printed.
OWNERS = (
    Room(10), Room(7), Room(10, is_tight=True), Room(7, is_tight=True),
    Room(4, is_tight=True), Room(2, is_tight=True), Room(0, is_tight=True),
)  # fmt: skip
SERVICES = (
    *(Room(rows, 90) for rows in (10, 7, 5, 4, 3, 2)),
    *(Room(2, measures) for measures in range(88, 12, -2)),
    Room(1, 12), Room(0, 4),
)  # fmt: skip


@dataclass
class Ladder:
    """Finds the first place of a list that fits, by halving what is left to try."""

    last: int
    first: int = 0
    place: int = 0

    def climb(self, *, fits: bool) -> bool:
        """Choose what to try next; say whether it is what was tried just now.

        The last place is taken as it is, whether it fits or not.
        """
        if fits:
            self.last = self.place
        else:
            self.first = min(self.place + 1, self.last)
        tried, self.place = self.place, (self.first + self.last) // 2
        return tried == self.place


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
    owner: Room
    service: Room

    @property
    def measured(self) -> list[Measure]:
        rows = [one for one in self.sheet.measures if one.is_measured]
        return sorted(rows, key=lambda one: SERVICE.index(one.branch))

    @property
    def groups(self) -> tuple[Group, ...]:
        shown = self.measured[: self.service.measures]
        return tuple(
            Group(branch, tuple(some))
            for branch, some in groupby(shown, key=lambda one: one.branch)
        )

    @property
    def more_measures(self) -> int:
        return max(0, len(self.measured) - self.service.measures)

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
        return self.repaired[: self.owner.rows]

    @property
    def more_repairs(self) -> int:
        return max(0, len(self.repaired) - self.owner.rows)

    @property
    def findings(self) -> Sequence[Finding]:
        return self.sheet.findings[: self.service.rows]

    @property
    def more_findings(self) -> int:
        return max(0, len(self.sheet.findings) - self.service.rows)

    @property
    def swaps(self) -> Sequence[Swapped]:
        return self.sheet.swaps[: self.service.rows]

    @property
    def more_swaps(self) -> int:
        return max(0, len(self.sheet.swaps) - self.service.rows)


def build_record(*, sheet: RecordSheet, printing: Printing) -> bytes:
    """Print a finished instrument's life on two pages, whatever happened to it."""
    with translation.override(sheet.language):
        title = gettext("Build record of {serial}").format(serial=sheet.serial)
        styles = ("paper/paper.css", f"paper/{sheet.size}.css", "paper/record.css")
        press = Press(*styles)
        owner, service = Ladder(len(OWNERS) - 1), Ladder(len(SERVICES) - 1)
        while True:
            rooms = OWNERS[owner.place], SERVICES[service.place]
            page = Printed(title, sheet, printing, *rooms)
            laid = press.lay("paper/record.html", page)
            turn = laid.places()["service"][0]
            count = len(laid.document.pages)
            settled = [
                owner.climb(fits=turn == 1),
                service.climb(fits=count - turn == 1),
            ]
            if all(settled):
                return laid.written()


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
