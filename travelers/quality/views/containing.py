"""How does QA hold all that came of a thing, and let it go again?"""

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from travelers.kit.leaves import leaf_asked
from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_YOUR_ROLE, Refused
from travelers.quality import actions, queries
from travelers.quality.forms import ContainForm, LetGoForm
from travelers.quality.views.tracing import TRACERS
from travelers.shop.rules import Role
from travelers.shop.signing import asks_again


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*TRACERS)
@asks_again
def contained(request: HttpRequest) -> HttpResponse:
    """List the containments; QA makes one from the page of a trace."""
    if request.method == "POST":
        return _contain(request)
    rows, leaf = queries.containments(leaf=leaf_asked(request.GET))
    return show(request, "quality/contained.html", rows, leaf=leaf)


def _contain(request: HttpRequest) -> HttpResponse:
    if not person_of(request).has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    form = ContainForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    since: date | None = given["since"]
    made = actions.contain(
        asked=actions.Asked(given["kind"], given["key"], since),
        reason=given["reason"],
        by=person_of(request),
        at=timezone.now(),
        zone=timezone.get_default_timezone(),
        uuid=given["uuid"],
    )
    return redirect("quality:containment", made.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*TRACERS)
@asks_again
def containment(request: HttpRequest, number: int) -> HttpResponse:
    """Show what a containment holds; QA lets go what is ticked, or all of it."""
    if request.method == "POST":
        return _let_go(request, number)
    page = queries.containment_page(number=number)
    may_let_go = person_of(request).has(Role.QA)
    return show(request, "quality/containment.html", page, may_let_go=may_let_go)


def _let_go(request: HttpRequest, number: int) -> HttpResponse:
    if not person_of(request).has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    form = LetGoForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    gone = actions.let_go(
        number=number,
        contained_ids=None if given["all"] else given["one"],
        reason=given["reason"],
        by=person_of(request),
        at=timezone.now(),
    )
    said = ngettext("{n} was let go.", "{n} were let go.", gone)
    messages.success(request, said.format(n=gone))
    return redirect("quality:containment", number)
