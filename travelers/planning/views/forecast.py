"""How is shown what limits output, and by when what is finished?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from travelers.kit.pages import show, wants_piece
from travelers.kit.people import for_roles
from travelers.planning.actions import make_forecast
from travelers.planning.documents import LoadWords, load_chart
from travelers.planning.queries import forecast as queries

SEED = 1


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*queries.FORECASTERS)
def limits(request: HttpRequest) -> HttpResponse:
    """Show what limits output; a post lives through futures of the floor as it is.

    The page stands at once with what was forecast last and then asks for more, piece by
    piece: a first answer of few futures, all of them, and what more would bring.
    """
    now = timezone.now()
    page = queries.limits_page(at=now)
    if request.method == "POST":
        known = page.known
        make_forecast(
            at=now,
            seed=SEED,
            futures=known.next_futures if known else queries.FIRST,
            zone=timezone.get_default_timezone(),
            with_gains=bool(known and known.asks_gains),
        )
        if not wants_piece(request):
            return redirect("limits:limits")
        page = queries.limits_page(at=now)
    return show(request, "planning/limits.html", page, parts=("limits",))


@require_safe
@for_roles(*queries.FORECASTERS)
def load(request: HttpRequest) -> HttpResponse:
    """Draw the load of the next four weeks; ``dark`` asks for the colours of night."""
    page = queries.limits_page(at=timezone.now())
    drawn = load_chart(
        stations=page.stations,
        dark="dark" in request.GET,
        words=LoadWords(
            title=_("Load of the next four weeks"),
            load=_("Hours taken, of 100 that places are open"),
            full=_("full"),
        ),
    )
    return HttpResponse(drawn, content_type="image/svg+xml")


@require_safe
@for_roles(*queries.FORECASTERS)
def promises(request: HttpRequest) -> HttpResponse:
    page = queries.promises_page(
        order=request.GET.get("order", "")[:20],
        at=timezone.now(),
        zone=timezone.get_default_timezone(),
    )
    return show(request, "planning/promises.html", page)


@require_safe
@for_roles(*queries.FORECASTERS)
def record(request: HttpRequest) -> HttpResponse:
    page = queries.record_page(at=timezone.now())
    return show(request, "planning/record.html", page)
