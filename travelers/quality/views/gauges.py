"""Which gauges are due, and what becomes of readings with one that is overdue?"""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from travelers.kit.pages import show
from travelers.kit.people import for_roles, has_one_of, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_YOUR_ROLE, Refused
from travelers.quality.forms import OverdueForm
from travelers.quality.views.reporting import READERS
from travelers.shop.actions import decide_overdue_gauges
from travelers.shop.queries import GaugeRow, overdue_gauges
from travelers.shop.queries import gauges as all_gauges
from travelers.shop.rules import OverdueGauges, Role


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
