"""How does QA look at what is measured, and answer what stands out?"""

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from travelers.formulas.control import Rule
from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refusal, Refused
from travelers.quality import actions, queries
from travelers.quality.forms import AnswerSignalForm, AskedForm, BaseForm
from travelers.quality.rules import RuleSet
from travelers.quality.views.tracing import TRACERS
from travelers.shop.rules import Role
from travelers.shop.signing import asks_again

ANSWERERS = (Role.QA, Role.LEAD)


@require_safe
@for_roles(*TRACERS)
def charts(request: HttpRequest) -> HttpResponse:
    return show(request, "quality/charts.html", queries.chart_list(at=timezone.now()))


@require_safe
@for_roles(*TRACERS)
def chart(request: HttpRequest, number: int) -> HttpResponse:
    return _show(request, number)


@require_POST
@for_roles(Role.QA)
def base(request: HttpRequest, number: int) -> HttpResponse:
    """Settle the time that the limits are made of."""
    form = BaseForm(request.POST)
    if not form.is_valid() or form.cleaned_data["since"] > form.cleaned_data["until"]:
        return _show(request, number, FORM_WRONG)
    try:
        actions.choose_base(
            number=number,
            since=form.cleaned_data["since"],
            until=form.cleaned_data["until"],
            by=person_of(request),
            at=timezone.now(),
            zone=timezone.get_default_timezone(),
        )
    except Refused as fault:
        return _show(request, number, fault.refusal)
    messages.success(request, _("The limits are made of that time from now on."))
    return redirect("quality:chart", number)


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*ANSWERERS)
@asks_again
def answer_signal(request: HttpRequest, number: int) -> HttpResponse:
    """Write down what was behind a signal, and what was done."""
    if request.method != "POST":
        return redirect("quality:chart", number)
    form = AnswerSignalForm(request.POST)
    if not form.is_valid():
        return _show(request, number, FORM_WRONG)
    given = form.cleaned_data
    try:
        actions.answer_signal(
            number=number,
            answered=actions.Answered(
                given["event_id"],
                tuple(map(Rule, given["rules"])),
                given["cause"],
                given["action"],
            ),
            by=person_of(request),
            at=timezone.now(),
        )
    except Refused as fault:
        return _show(request, number, fault.refusal)
    messages.success(request, _("The signal is answered."))
    rules = urlencode({"rules": request.GET.get("rules", "")})
    return redirect(f"{reverse('quality:chart', args=[number])}?{rules}")


def _show(
    request: HttpRequest, number: int, refusal: Refusal | None = None
) -> HttpResponse:
    page = queries.chart_page(
        number=number,
        asked=AskedForm(request.GET).asked(),
        zone=timezone.get_default_timezone(),
        href=reverse("floor:instrument", args=["SERIAL"]).replace("SERIAL", "{serial}"),
    )
    person = person_of(request)
    return show(
        request,
        "quality/chart.html",
        page,
        status=refusal.status if refusal else 200,
        refusal=refusal,
        rule_sets=tuple(RuleSet),
        may_answer=any(person.has(role) for role in ANSWERERS),
        may_settle=person.has(Role.QA),
    )
