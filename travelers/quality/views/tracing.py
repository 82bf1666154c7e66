"""How does QA go from one thing to all that it came of, and all that came of it?"""

from datetime import date
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_safe

from travelers.kit.leaves import leaf_asked
from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import Refused
from travelers.orders.queries import strands
from travelers.quality import queries
from travelers.quality.views.reporting import READERS
from travelers.shop.rules import Role

TRACERS = (*READERS, Role.ROUTE_ENGINEER)


@require_safe
@for_roles(*TRACERS)
def find(request: HttpRequest) -> HttpResponse:
    """Ask what shall be traced, and go to it."""
    asked = request.GET.get("q", "")
    refusal = None
    if asked.strip():
        try:
            found = queries.search(text=asked)
        except Refused as fault:
            refusal = fault.refusal
        else:
            return redirect("quality:trace", found.kind.lower(), found.key)
    status = refusal.status if refusal else 200
    return show(request, "quality/find.html", asked, refusal=refusal, status=status)


@require_safe
@for_roles(*TRACERS)
def trace(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    page = queries.trace_page(
        kind=kind,
        key=key,
        leaf=leaf_asked(request.GET),
        since=_day(request.GET.get("since", "")),
        zone=timezone.get_default_timezone(),
    )
    may_contain = person_of(request).has(Role.QA)
    return show(
        request,
        "quality/trace.html",
        page,
        strands=strands(),
        may_contain=may_contain,
        deed=uuid4(),
    )


@require_safe
@for_roles(*TRACERS)
def twigs(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """Give the next things of one thing of a tree, where it is opened."""
    page = queries.twigs_of(kind=kind, key=key, zone=timezone.get_default_timezone())
    return show(request, "quality/_twigs.html", page)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
