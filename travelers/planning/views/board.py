"""How are the floor and the day's work shown?

``home`` and ``stations`` are the shop's front pages by name (``shop:home``); they
count what lies on the floor and so are answered here.
"""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from travelers.floor import queries as on_floor
from travelers.kit.leaves import leaf_asked
from travelers.kit.news import is_seen, seen_word
from travelers.kit.pages import show, wants_piece
from travelers.kit.people import for_roles, person_of
from travelers.lumber import queries as lumber
from travelers.planning import queries
from travelers.shop.rules import EVERYBODY


@require_safe
@for_roles(*EVERYBODY)
def board(request: HttpRequest) -> HttpResponse:
    return _board(request, "planning/board.html")


def _board(request: HttpRequest, template: str) -> HttpResponse:
    """Show the floor; who asks again with the pulse seen hears nothing new by 204."""
    at = timezone.now()
    pulse = f"{on_floor.pulse()}-{lumber.newest_air()}"
    seen = request.GET.get("seen", "")
    if wants_piece(request) and is_seen(seen, pulse=pulse, at=at):
        return HttpResponse(status=204)
    page = queries.board(seen=seen_word(pulse, at=at), at=at)
    return show(request, template, page, parts=("board",))


@require_safe
@for_roles(*EVERYBODY)
def wall(request: HttpRequest) -> HttpResponse:
    """Show the floor in numbers for a screen on the wall, read from three metres."""
    return _board(request, "planning/wall.html")


@require_safe
@for_roles(*EVERYBODY)
def cell(request: HttpRequest, stage: str, branch: str) -> HttpResponse:
    page = queries.cell(
        stage=stage,
        branch=branch,
        leaf=leaf_asked(request.GET),
        at=timezone.now(),
        today=timezone.localdate(),
    )
    return show(request, "planning/cell.html", page)


@require_safe
@for_roles(*EVERYBODY)
def home(request: HttpRequest) -> HttpResponse:
    page = queries.today(
        by=person_of(request), at=timezone.now(), day=timezone.localdate()
    )
    return show(request, "planning/home.html", page)


@require_safe
@for_roles(*EVERYBODY)
def stations(request: HttpRequest) -> HttpResponse:
    page = queries.stations(by=person_of(request))
    return show(request, "planning/stations.html", page)
