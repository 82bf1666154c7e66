"""How does a lead take something back at a desk, with what was built on it?"""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from travelers.floor import queries
from travelers.floor.actions import take_back
from travelers.floor.forms import TakeBackForm, without_nul
from travelers.floor.queries import UndoPage
from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_FOUND, Refusal, Refused
from travelers.shop.rules import Role


@dataclass(frozen=True, slots=True)
class TakingBack:
    """What shall be taken back and what goes with it, with what was just refused."""

    shown: UndoPage
    refusal: Refusal | None = None
    typed: Mapping[str, str] | None = None


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(Role.LEAD, Role.QA)
def undo(request: HttpRequest, serial: str, target: UUID) -> HttpResponse:
    """Show what hangs on an event; a POST takes all of it back, or none."""
    if request.method == "POST":
        return _take_back(request, _shown(serial, target), target)
    return show(request, "floor/undo.html", TakingBack(_shown(serial, target)))


def _shown(serial: str, target: UUID) -> UndoPage:
    shown = queries.undo_page(serial=without_nul(serial), event_id=target)
    if shown is None:
        raise Refused(NOT_FOUND)
    return shown


def _take_back(request: HttpRequest, shown: UndoPage, target: UUID) -> HttpResponse:
    form = TakeBackForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    at = timezone.now()
    verdict = take_back(
        tag=shown.code,
        target_id=target,
        seen=given["seen"],
        person=person_of(request),
        reason=given["reason"],
        event_id=given["event_id"],
        at=at,
        heard_at=at,
    )
    if verdict.refusal:
        page = TakingBack(_shown(shown.serial, target), verdict.refusal, given)
        return show(request, "floor/undo.html", page, status=verdict.refusal.status)
    count = 1 + len(shown.hanging)
    said = ngettext("{n} entry is taken back.", "{n} entries are taken back.", count)
    messages.success(request, said.format(n=count))
    return redirect("floor:instrument", shown.serial)
