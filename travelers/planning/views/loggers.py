"""How does a logger tell the air of its room, and who lets it?"""

import json
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.kit.words import remedy_of, sentence_of
from travelers.lumber import actions
from travelers.lumber import queries as lumber
from travelers.lumber.actions import LetIn
from travelers.lumber.queries import LOGGER_KEEPERS, Climate, LoggerRow
from travelers.lumber.rules import (
    LOGGER_UNKNOWN,
    MOST_LOGGED,
    LogFault,
    read_log,
)
from travelers.planning.forms import LoggerForm

# What is typed at a shell to try it; no language changes it.
EXAMPLE = r"""curl {address} \
  -H "Authorization: Bearer TOKEN" \
  -H "Content-Type: application/json" \
  -d '{{"readings": [{{"read_at": "2026-03-10T08:30:00+01:00",
       "temperature_c": 40.6, "humidity_pct": 33.1}}]}}'"""


@dataclass(frozen=True, slots=True)
class LoggersPage:
    """A room's loggers; the token of one that was just let in is shown this once."""

    room: Climate
    rows: tuple[LoggerRow, ...]
    form: LoggerForm
    example: str
    let_in: LetIn | None
    most: int = MOST_LOGGED


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*LOGGER_KEEPERS)
def loggers(request: HttpRequest, code: str) -> HttpResponse:
    """List a room's loggers, and let one more in."""
    now = timezone.now()
    room = lumber.climate(code=code, at=now)
    form = LoggerForm(request.POST if request.method == "POST" else None)
    let_in, status = None, 200
    if form.is_bound and form.is_valid():
        try:
            let_in = actions.let_logger_in(
                room_id=room.id,
                name=form.cleaned_data["name"],
                by=person_of(request),
                at=now,
            )
        except Refused as no:
            form.add_error("name", f"{sentence_of(no.refusal)} {remedy_of(no.refusal)}")
    if form.is_bound and let_in is None:
        status = FORM_WRONG.status
    page = LoggersPage(
        room,
        lumber.loggers(room_id=room.id),
        LoggerForm() if let_in else form,
        EXAMPLE.format(
            address=request.build_absolute_uri(reverse("rooms:log", args=[code]))
        ),
        let_in,
    )
    return show(request, "planning/loggers.html", page, status=status)


@require_POST
@for_roles(*LOGGER_KEEPERS)
def logger_out(request: HttpRequest, code: str, number: int) -> HttpResponse:
    """Put a logger out, at once."""
    now = timezone.now()
    actions.put_logger_out(logger_id=number, by=person_of(request), at=now)
    messages.success(request, _("The logger is put out; what it sent stays."))
    return redirect("rooms:loggers", lumber.climate(code=code, at=now).code)


@csrf_exempt
@login_not_required
@require_POST
def log(request: HttpRequest, code: str) -> HttpResponse:
    """Take readings from a logger, which shows its token instead of a person."""
    now = timezone.now()
    room = lumber.climate(code=code, at=now)
    token = request.headers.get("Authorization", "").removeprefix("Bearer ").strip()
    if lumber.find_logger(room_id=room.id, token=token) is None:
        return _refused(LogFault(LOGGER_UNKNOWN))
    read = read_log(_sent(request), at=now)
    if isinstance(read, LogFault):
        return _refused(read)
    new = actions.hear_logger(room_id=room.id, token=token, readings=read, at=now)
    return JsonResponse({"new": new, "known": len(read) - new})


def _sent(request: HttpRequest) -> Any:
    try:
        return json.loads(request.body, parse_float=Decimal)
    except (ValueError, RecursionError):
        return None


def _refused(fault: LogFault) -> JsonResponse:
    """Say in words and by code what is wrong, and at which reading."""
    no = fault.refusal
    said = {
        "code": no.code,
        "sentence": sentence_of(no),
        "remedy": remedy_of(no),
        "reading": fault.row,
        "field": fault.field,
    }
    return JsonResponse({"refused": said}, status=no.status)
