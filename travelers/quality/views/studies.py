"""How is a gauge study planned, and how does it stand?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from travelers.floor.forms import read_code
from travelers.kit.pages import show
from travelers.kit.people import for_roles, has_one_of, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_YOUR_ROLE, Refusal, Refused
from travelers.quality import actions, queries
from travelers.quality.forms import CallOffForm, StudyForm, StudyPartForm
from travelers.quality.views.reporting import REPORTERS
from travelers.quality.views.tracing import TRACERS
from travelers.shop.rules import Role


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*TRACERS)
def gauge_studies(request: HttpRequest, tag: str) -> HttpResponse:
    """List the studies of a gauge; QA begins one."""
    person = person_of(request)
    may_begin = person.has(Role.QA)
    form = StudyForm(request.POST or None)
    if request.method == "POST":
        if not may_begin:
            raise Refused(NOT_YOUR_ROLE)
        if form.is_valid():
            given = form.cleaned_data
            made = actions.begin_study(
                tag=tag,
                characteristic_id=given["characteristic"],
                planned=actions.Planned(
                    given["parts"], given["people"], given["trials"]
                ),
                by=person,
                at=timezone.now(),
            )
            return redirect("quality:study", made.pk)
    page = queries.gauge_studies(tag=tag)
    status = 422 if request.method == "POST" else 200
    return show(
        request,
        "quality/gauge_studies.html",
        page,
        status=status,
        form=form,
        may_begin=may_begin,
    )


@require_safe
@for_roles(*REPORTERS)
def study(request: HttpRequest, number: int) -> HttpResponse:
    """Show who is how far in a study, and once all is in what it shows."""
    return _show_study(request, number)


@require_POST
@for_roles(Role.QA)
def study_part(request: HttpRequest, number: int) -> HttpResponse:
    """Give the part whose tag was scanned the next number."""
    form = StudyPartForm(request.POST)
    if not form.is_valid():
        return _show_study(request, number, FORM_WRONG)
    code = read_code(form.cleaned_data["code"])
    by, at = person_of(request), timezone.now()
    try:
        actions.number_study_part(number=number, code=code, by=by, at=at)
    except Refused as no:
        return _show_study(request, number, no.refusal)
    return redirect("quality:study", number)


@require_POST
@for_roles(Role.QA)
def study_off(request: HttpRequest, number: int) -> HttpResponse:
    """Call a study off."""
    form = CallOffForm(request.POST)
    if not form.is_valid():
        return _show_study(request, number, FORM_WRONG)
    reason = form.cleaned_data["reason"]
    by, at = person_of(request), timezone.now()
    try:
        actions.call_study_off(number=number, reason=reason, by=by, at=at)
    except Refused as no:
        return _show_study(request, number, no.refusal)
    return redirect("quality:study", number)


def _show_study(
    request: HttpRequest, number: int, refusal: Refusal | None = None
) -> HttpResponse:
    page = queries.study_page(number=number)
    return show(
        request,
        "quality/study.html",
        page,
        status=refusal.status if refusal else 200,
        refusal=refusal,
        may_plan=has_one_of(request.user, (Role.QA,)),
    )
