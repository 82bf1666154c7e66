"""How is a traveler printed: one alone, or many of which most is the same?"""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.template.loader import render_to_string
from django.utils import translation
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from travelers.paper.documents.marks import Marks, Places, marks_of
from travelers.paper.documents.press import Press
from travelers.paper.queries import RouteSheet, Traveler
from travelers.paper.rules import Printing, Size

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

    @property
    def done(self) -> dict[str, tuple[date | None, ...]]:
        return {done.key: done.days for done in self.traveler.done}


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
    """The own sheets of several instruments, each with what is done on it."""

    title: str
    owners: tuple[tuple[Own, tuple[Marks, ...]], ...]
    count: int
    size: Size


def travelers(*, owners: Sequence[Own]) -> bytes:
    """Print travelers: one as a whole, many laid over what they share."""
    with translation.override(owners[0].traveler.route.language):
        return _one(owners[0]) if len(owners) == 1 else _many(owners)


def traveler_page(*, own: Own) -> str:
    """Give a traveler as a page, for the browser's own printer."""
    route = own.traveler.route
    with translation.override(route.language):
        page = Whole(title=_title([own]), route=route, own=own)
        size = f"paper/{route.size}.css"
        return render_to_string(
            "paper/traveler_page.html", {"page": page, "size": size}
        )


def _one(own: Own) -> bytes:
    route = own.traveler.route
    page = Whole(title=_title([own]), route=route, own=own)
    return _press(route).print("paper/traveler.html", page)


def _many(owners: Sequence[Own]) -> bytes:
    from travelers.paper.documents.binding import Binder

    title, binder = _title(owners), Binder()
    digest = hashlib.sha256()
    for route, alike in groupby(owners, key=lambda own: own.traveler.route):
        shared, places = _shared(title, route)
        sheets = binder.share(shared)
        stamper = _press(route, "paper/stamps.css")
        most = max(1, SHEETS_AT_A_TIME // len(sheets))
        for some in _lots(list(alike), most=most):
            stamped = [
                (own, marks_of(own.traveler, places, len(sheets))) for own in some
            ]
            page = Stamps(title, tuple(stamped), len(sheets), route.size)
            printed = stamper.print("paper/stamps.html", page)
            binder.bind(printed, sheets, names=[own.traveler.serial for own in some])
            digest.update(printed)
    return binder.bound(identifier=digest.digest()[:16])


def _shared(title: str, route: RouteSheet) -> tuple[bytes, Places]:
    """Print what many share, and say where its lines are; the layout is let go."""
    laid = _press(route).lay("paper/traveler.html", Whole(title, route))
    return laid.written(tagged=False), laid.places()


def _press(route: RouteSheet, *styles: str) -> Press:
    size = f"paper/{route.size}.css"
    return Press("paper/paper.css", size, "paper/traveler.css", *styles)


def _lots(owners: Sequence[Own], *, most: int) -> Iterator[Sequence[Own]]:
    for first in range(0, len(owners), most):
        yield owners[first : first + most]


def _title(owners: Sequence[Own]) -> str:
    first, last = owners[0].traveler.serial, owners[-1].traveler.serial
    if len(owners) == 1:
        return gettext("Traveler {serial}").format(serial=first)
    said = gettext("Travelers {first} to {last}")
    return said.format(first=first, last=last)
