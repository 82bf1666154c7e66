"""How does the air of a room come in by a logger's list?"""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.lumber import actions
from travelers.lumber import queries as lumber
from travelers.lumber.rules import Told
from travelers.planning import queries
from travelers.planning.forms import (
    CLOCKS,
    MOST_READINGS,
    air_list,
    packed,
    unpacked,
    zone_of,
)


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*lumber.AIR_KEEPERS)
def import_air(request: HttpRequest, code: str) -> HttpResponse:
    """Ask for a list, show what it says, and only then write it down."""
    now = timezone.now()
    room = lumber.climate(code=code, at=now)
    if request.method != "POST":
        return _show(request, room)
    if "readings" in request.POST and not request.FILES:
        return _write_down(request, room)
    zone = zone_of(
        request.POST.get("clock", ""), shop=timezone.get_default_timezone(), at=now
    )
    brought = air_list(request.FILES.get("list"), zone=zone, at=now)
    summary = queries.air_summary(room_id=room.id, readings=brought.readings)
    return _show(
        request,
        room,
        status=FORM_WRONG.status if brought.faults else 200,
        brought=brought,
        summary=summary,
        packed="" if brought.faults else packed(brought.readings, room=code),
    )


def _show(
    request: HttpRequest, room: lumber.Climate, *, status: int = 200, **more: Any
) -> HttpResponse:
    return show(
        request,
        "planning/air_list.html",
        room,
        status=status,
        most=MOST_READINGS,
        clocks=CLOCKS.items(),
        clock=request.POST.get("clock", ""),
        **more,
    )


def _write_down(request: HttpRequest, room: lumber.Climate) -> HttpResponse:
    readings = unpacked(request.POST["readings"], room=room.code)
    if readings is None:
        raise Refused(FORM_WRONG)
    new = actions.note_airs(
        room_id=room.id, readings=readings, told=Told.BY_FILE, by=person_of(request)
    )
    said = ngettext(
        "{n} reading is written down.", "{n} readings are written down.", new
    )
    known = len(readings) - new
    if known:
        said += " " + ngettext(
            "{known} was known already.", "{known} were known already.", known
        )
    messages.success(request, said.format(n=new, known=known))
    return redirect("rooms:room", room.code)
