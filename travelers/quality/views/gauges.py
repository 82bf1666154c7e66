"""Which gauges are due, and what becomes of readings with one that is overdue?"""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from travelers.kit.pages import show
from travelers.kit.people import for_roles, has_one_of, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_YOUR_ROLE, Refused
from travelers.quality.forms import GaugeBackForm, GaugeBadForm, OverdueForm
from travelers.quality.views.reporting import READERS
from travelers.shop.actions import (
    decide_overdue_gauges,
    find_gauge_bad,
    put_gauge_back,
)
from travelers.shop.queries import GaugeRow, overdue_gauges
from travelers.shop.queries import gauges as all_gauges
from travelers.shop.rules import OverdueGauges, Role
from travelers.shop.signing import asks_again


@dataclass(frozen=True, slots=True)
class GaugesPage:
    rows: tuple[GaugeRow, ...]
    rule: OverdueGauges
    form: OverdueForm | None


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*READERS)
def gauges(request: HttpRequest) -> HttpResponse:
    """Show the gauges by their due days; QA decides what becomes of overdue ones."""
    may_decide = has_one_of(request.user, (Role.QA,))
    if request.method == "POST":
        if not may_decide:
            raise Refused(NOT_YOUR_ROLE)
        return _decide(request)
    return _show(request, OverdueForm(initial=_now()) if may_decide else None)


def _now() -> dict[str, str]:
    return {"overdue_gauges": overdue_gauges()}


def _show(
    request: HttpRequest, form: OverdueForm | None, status: int = 200
) -> HttpResponse:
    today = timezone.localdate(timezone.now())
    page = GaugesPage(all_gauges(today=today), overdue_gauges(), form)
    return show(request, "quality/gauges.html", page, status=status)


def _decide(request: HttpRequest) -> HttpResponse:
    form = OverdueForm(request.POST)
    if not form.is_valid():
        return _show(request, form, FORM_WRONG.status)
    decide_overdue_gauges(
        decision=OverdueGauges(form.cleaned_data["overdue_gauges"]),
        by=person_of(request),
        at=timezone.now(),
    )
    messages.success(request, _("Decided, for readings from now on."))
    return redirect("quality:gauges")


@require_POST
@for_roles(Role.QA)
@asks_again
def found_bad(request: HttpRequest, tag: str) -> HttpResponse:
    """Take a gauge out of use, and go on to all that it measured since."""
    form = GaugeBadForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    by, at = person_of(request), timezone.now()
    find_gauge_bad(tag=tag, by=by, at=at, **form.cleaned_data)
    messages.success(request, _("The gauge is out of use. This is what it measured."))
    return redirect("quality:trace", "gauge", tag)


@require_POST
@for_roles(Role.QA)
@asks_again
def back_in_use(request: HttpRequest, tag: str) -> HttpResponse:
    """Put a gauge back after a calibration."""
    form = GaugeBackForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    by, at = person_of(request), timezone.now()
    put_gauge_back(tag=tag, by=by, at=at, **form.cleaned_data)
    messages.success(request, _("The gauge is back in use."))
    return redirect("quality:gauge_studies", tag)
