"""How is a traveler printed: one alone, or many of which most is the same?"""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.utils import translation
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from travelers.paper.documents.press import Press
from travelers.paper.queries import RouteSheet, Traveler
from travelers.paper.rules import Printing

# So many own sheets are laid out at a time: more cost memory and save no time.
SHEETS_AT_A_TIME = 30
# The style sheet counts where the length is not known before the layout.
THIS_PAGE = SafeString('<span class="this-page"></span>')
ALL_PAGES = SafeString('<span class="all-pages"></span>')


@dataclass(frozen=True, slots=True)
class Own:
    """What is one instrument's own, on this print of it."""

    traveler: Traveler
    printing: Printing


@dataclass(frozen=True, slots=True)
class Whole:
    """A traveler from head to foot; without an owner, what many share of it."""

    title: str
    route: RouteSheet
    own: Own | None = None
    number: SafeString = THIS_PAGE
    count: SafeString = ALL_PAGES


@dataclass(frozen=True, slots=True)
class Stamps:
    """The own sheets of several instruments."""

    title: str
    owners: tuple[Own, ...]
    count: int

    @property
    def numbers(self) -> range:
        return range(1, self.count + 1)


def travelers(*, owners: Sequence[Own]) -> bytes:
    """Print travelers: one as a whole, many laid over what they share."""
    with translation.override(owners[0].traveler.route.language):
        return _one(owners[0]) if len(owners) == 1 else _many(owners)


def _one(own: Own) -> bytes:
    route = own.traveler.route
    press = _press(route, "paper/traveler.css")
    page = Whole(title=_title([own]), route=route, own=own)
    return press.print("paper/traveler.html", page, tagged=True)


def _many(owners: Sequence[Own]) -> bytes:
    from travelers.paper.documents.binding import Binder

    binder = Binder()
    digest = hashlib.sha256(_title(owners).encode())
    for route, alike in _alike(owners):
        whole = _press(route, "paper/traveler.css").print(
            "paper/traveler.html", Whole(_title(owners), route), tagged=False
        )
        sheets = binder.share(whole)
        stamper = _press(route, "paper/traveler.css", "paper/stamps.css")
        for some in _lots(alike, most=max(1, SHEETS_AT_A_TIME // len(sheets))):
            page = Stamps(_title(owners), tuple(some), len(sheets))
            stamped = stamper.print("paper/stamps.html", page, tagged=True)
            binder.bind(stamped, sheets, names=[own.traveler.serial for own in some])
            digest.update(stamped)
    return binder.bound(identifier=digest.digest()[:16])


def _press(route: RouteSheet, *styles: str) -> Press:
    return Press("paper/paper.css", f"paper/{route.size}.css", *styles)


def _alike(owners: Sequence[Own]) -> Iterator[tuple[RouteSheet, list[Own]]]:
    """Group the owners that share a route sheet, without changing their order."""
    for route, some in groupby(owners, key=lambda own: own.traveler.route):
        yield route, list(some)


def _lots(owners: Sequence[Own], *, most: int) -> Iterator[Sequence[Own]]:
    for first in range(0, len(owners), most):
        yield owners[first : first + most]


def _title(owners: Sequence[Own]) -> str:
    first, last = owners[0].traveler.serial, owners[-1].traveler.serial
    if len(owners) == 1:
        return gettext("Traveler {serial}").format(serial=first)
    said = gettext("Travelers {first} to {last}")
    return said.format(first=first, last=last)
