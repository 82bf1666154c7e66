"""How does somebody go to anything that has a number, from one field?"""

from collections.abc import Callable
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from travelers.kit.pages import show
from travelers.kit.people import for_roles, has_one_of
from travelers.orders.queries import ORDER_READERS
from travelers.quality import queries
from travelers.quality.queries import FoundThing, Search, Sort
from travelers.quality.rules import Kind
from travelers.quality.views.reporting import READERS
from travelers.quality.views.tracing import TRACERS
from travelers.shop.rules import EVERYBODY, Role

LONGEST = 512
# Longer than that is no number; what a symbol carries is read before it is cut.
LONGEST_NUMBER = 80


@dataclass(frozen=True, slots=True)
class Way:
    """Who may open the page of a thing, and where it is."""

    roles: tuple[Role, ...]
    to: Callable[[str], str]


def _page(name: str) -> Callable[[str], str]:
    return lambda key: reverse(name, args=[key])


def _trace(kind: Kind) -> Callable[[str], str]:
    return lambda key: reverse("quality:trace", args=[kind.lower(), key])


WAYS = {
    Sort.INSTRUMENTS: Way(EVERYBODY, _page("floor:instrument")),
    Sort.ORDERS: Way(ORDER_READERS, _page("orders:order")),
    Sort.PARTS: Way(EVERYBODY, _page("floor:tag")),
    Sort.PLANK_SETS: Way(EVERYBODY, _page("moisture:set")),
    Sort.PIECES: Way(EVERYBODY, _page("moisture:set")),
    Sort.PLANKS: Way(EVERYBODY, _page("lumber:plank")),
    Sort.DELIVERIES: Way(EVERYBODY, _page("lumber:delivery")),
    Sort.BATCHES: Way(EVERYBODY, _page("materials:batch")),
    Sort.SERIALS: Way(TRACERS, _trace(Kind.SERIAL)),
    Sort.CUTTERS: Way(TRACERS, _trace(Kind.CUTTER)),
    Sort.GAUGES: Way(TRACERS, _page("quality:gauge_studies")),
    Sort.STATIONS: Way(EVERYBODY, _page("floor:station")),
    Sort.DEFECTS: Way(READERS, _page("quality:defect")),
    Sort.LOADS: Way(TRACERS, _trace(Kind.LOAD)),
}


@dataclass(frozen=True, slots=True)
class Shown:
    """A thing that was found, with the address of its page."""

    thing: FoundThing
    url: str


@dataclass(frozen=True, slots=True)
class ShownLot:
    sort: Sort
    shown: tuple[Shown, ...]
    more: bool


@dataclass(frozen=True, slots=True)
class FindPage:
    search: Search
    lots: tuple[ShownLot, ...] = ()


@require_safe
@for_roles(*EVERYBODY)
def find_all(request: HttpRequest) -> HttpResponse:
    """Go to what a number, a code or a name means, or list what it may mean."""
    text = _typed(request.GET.get("q", ""))
    if not text:
        return show(request, "quality/find_all.html", FindPage(Search("")))
    may = [sort for sort, way in WAYS.items() if has_one_of(request.user, way.roles)]
    search = queries.search_all(text=text, sorts=may)
    if search.only:
        return redirect(_url(search.only))
    lots = tuple(
        ShownLot(lot.sort, tuple(Shown(one, _url(one)) for one in lot.found), lot.more)
        for lot in search.lots
    )
    page = FindPage(search, lots)
    status = 200 if lots else 404
    return show(request, "quality/find_all.html", page, status=status)


def _typed(text: str) -> str:
    """Read what was typed; a scanner's link may have lost its beginning.

    The key / opens the field wherever the focus was, so that of ``https://host/T/…``
    what stands behind the first / comes in.
    """
    text = text.replace("\0", "").strip()[:LONGEST]
    if text.startswith("/") and "/t/" in text.lower():
        return f"https:/{text}"
    return text if "/" in text else text[:LONGEST_NUMBER]


def _url(one: FoundThing) -> str:
    return WAYS[one.sort].to(one.key)
