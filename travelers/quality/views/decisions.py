"""How does a lead or QA see all that waits for them, and answer it?"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from travelers.floor.actions import record
from travelers.floor.forms import AnswerForm
from travelers.floor.rules import Wish
from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refusal, Refused
from travelers.quality import queries
from travelers.quality.queries import Decisions
from travelers.shop.rules import Role
from travelers.shop.signing import asks_again

DECIDERS = (Role.LEAD, Role.QA)


@dataclass(frozen=True, slots=True)
class DecisionsPage:
    """All that waits, with the answer that was just refused."""

    shown: Decisions
    refusal: Refusal | None = None
    typed: Mapping[str, Any] | None = None


@require_safe
@for_roles(*DECIDERS)
def decisions(request: HttpRequest) -> HttpResponse:
    page = DecisionsPage(queries.decisions(now=timezone.now()))
    return show(request, "quality/decisions.html", page)


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*DECIDERS)
@asks_again
def answer(request: HttpRequest) -> HttpResponse:
    """Let a gate pass, or say no; the operator's screen hears of either."""
    if request.method != "POST":
        return redirect("decisions:list")
    form = AnswerForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    at = timezone.now()
    wish = Wish(given["wish"])
    verdict = record(
        wish=wish,
        step_id=given["step"],
        station=None,
        person=person_of(request),
        event_id=given["event_id"],
        at=at,
        heard_at=at,
        data={"gate": given["gate"], "reason": given["reason"]},
    )
    if verdict.refusal:
        page = DecisionsPage(queries.decisions(now=at), verdict.refusal, given)
        return show(
            request, "quality/decisions.html", page, status=verdict.refusal.status
        )
    said = {
        Wish.ALLOW: gettext("It may pass, once."),
        Wish.DECLINE: gettext("It may not; that is said at the bench."),
    }
    messages.success(request, said[wish])
    return redirect("decisions:list")
