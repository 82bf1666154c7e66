"""How is a gauge studied: begun by QA, measured by whoever works with it?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.quality import actions, queries
from travelers.quality.forms import StudyForm, ValueForm
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


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*REPORTERS)
def study(request: HttpRequest, number: int) -> HttpResponse:
    """Measure what is next, without seeing what was measured before."""
    person = person_of(request)
    form = ValueForm(request.POST or None)
    refusal = None
    if request.method == "POST" and form.is_valid():
        try:
            actions.note_study_value(
                number=number,
                part=form.cleaned_data["part"],
                value=form.cleaned_data["value"],
                by=person,
                at=timezone.now(),
            )
        except Refused as fault:
            refusal = fault.refusal
        else:
            return redirect("quality:study", number)
    page = queries.study_page(number=number, by=person)
    status = refusal.status if refusal else 200
    if request.method == "POST" and refusal is None:
        status = 422
    return show(
        request,
        "quality/study.html",
        page,
        status=status,
        form=form,
        refusal=refusal,
    )
