"""How are the rooms for wood shown, and how does their air come in by hand?"""

from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from travelers.kit.leaves import leaf_asked
from travelers.kit.pages import show
from travelers.kit.people import for_roles, has_one_of, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.kit.words import remedy_of, sentence_of
from travelers.lumber import actions
from travelers.lumber import queries as lumber
from travelers.lumber.documents import AirWords, air_chart
from travelers.planning import queries
from travelers.planning.documents import PlacesWords, places_chart
from travelers.planning.forms import AirForm, WorkshopForm
from travelers.shop import queries as shop
from travelers.shop.actions import decide_workshop_air
from travelers.shop.rules import EVERYBODY, WORKSHOP_KEEPERS


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*EVERYBODY)
def rooms(request: HttpRequest) -> HttpResponse:
    """Show the rooms; the air of the workshop beside them is said here too."""
    if request.method == "POST":
        return _decide_workshop(request)
    warm, damp = shop.workshop_air()
    now = {"temperature_c": warm, "humidity_pct": damp}
    return _show_rooms(request, WorkshopForm(initial=now))


@for_roles(*WORKSHOP_KEEPERS)
def _decide_workshop(request: HttpRequest) -> HttpResponse:
    form = WorkshopForm(request.POST)
    if form.is_valid():
        try:
            decide_workshop_air(
                by=person_of(request), at=timezone.now(), **form.cleaned_data
            )
        except Refused as no:
            said = f"{sentence_of(no.refusal)} {remedy_of(no.refusal)}"
            form.add_error(None, said)
        else:
            messages.success(request, _("Decided, for wood that is glued from now on."))
            return redirect("rooms:rooms")
    return _show_rooms(request, form, status=FORM_WRONG.status)


def _show_rooms(
    request: HttpRequest, form: WorkshopForm, *, status: int = 200
) -> HttpResponse:
    return show(
        request,
        "planning/rooms.html",
        queries.rooms(at=timezone.now()),
        status=status,
        workshop=queries.workshop(),
        form=form if has_one_of(request.user, WORKSHOP_KEEPERS) else None,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*EVERYBODY)
def room(request: HttpRequest, code: str) -> HttpResponse:
    """Show a room; a reading of its air is written down here too."""
    if request.method == "POST":
        return _note_air(request, code)
    now = timezone.localtime()
    return _show(request, code, AirForm(initial={"read_at": now}, at=now))


@for_roles(*lumber.AIR_KEEPERS)
def _note_air(request: HttpRequest, code: str) -> HttpResponse:
    now = timezone.now()
    form = AirForm(request.POST, at=now)
    if not form.is_valid():
        return _show(request, code, form, status=FORM_WRONG.status)
    actions.note_air(
        room_id=lumber.climate(code=code, at=now).id,
        by=person_of(request),
        at=now,
        **form.cleaned_data,
    )
    messages.success(request, _("The reading is written down."))
    return redirect("rooms:room", code)


def _show(
    request: HttpRequest, code: str, form: AirForm, *, status: int = 200
) -> HttpResponse:
    page = queries.room(
        code=code,
        span=_span_asked(request),
        leaf=leaf_asked(request.GET),
        by=person_of(request),
        at=timezone.now(),
        zone=timezone.get_default_timezone(),
    )
    return show(
        request,
        "planning/room.html",
        page,
        status=status,
        form=form,
        may_let_in=has_one_of(request.user, lumber.LOGGER_KEEPERS),
    )


@require_safe
@for_roles(*EVERYBODY)
def air(request: HttpRequest, code: str) -> HttpResponse:
    """Draw a room's air over time; ``dark`` asks for the colours of the night."""
    now = timezone.now()
    climate = lumber.climate(code=code, at=now)
    since = now - timedelta(days=_span_asked(request))
    drawn = air_chart(
        course=lumber.course(room_id=climate.id, since=since),
        limit_pct=float(climate.limit_pct),
        zone=timezone.get_default_timezone(),
        dark="dark" in request.GET,
        words=AirWords(
            title=_("Air of {name}").format(name=climate.name),
            equilibrium=_("Wood dries to (%)"),
            limit=_("must be below {limit} %").format(limit=climate.limit_pct),
            above=_("too damp"),
            temperature=_("Temperature (°C)"),
            humidity=_("Humidity (%)"),
        ),
    )
    return HttpResponse(drawn, content_type="image/svg+xml")


@require_safe
@for_roles(*EVERYBODY)
def places(request: HttpRequest, code: str) -> HttpResponse:
    """Draw how a room empties over the coming months."""
    weeks = queries.weeks(
        code=code, at=timezone.now(), zone=timezone.get_default_timezone()
    )
    drawn = places_chart(
        weeks=weeks,
        dark="dark" in request.GET,
        words=PlacesWords(
            title=_("Places taken week by week"),
            taken=_("Places taken"),
            places=_("{n} places").format(n=weeks[0].places),
        ),
    )
    return HttpResponse(drawn, content_type="image/svg+xml")


def _span_asked(request: HttpRequest) -> int:
    asked = request.GET.get("days", "")
    days = int(asked) if asked.isdecimal() and len(asked) < 4 else 0
    return days if days in queries.SPANS else queries.SPANS[0]
