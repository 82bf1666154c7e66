"""Which wood shall be read, and how do its readings come in?"""

from typing import TypeVar

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.lumber import actions
from travelers.lumber.queries import MOISTURE_READERS
from travelers.planning import queries
from travelers.planning.forms import MeterForm, OvenForm
from travelers.planning.queries import SetPage
from travelers.shop.rules import EVERYBODY

Form = TypeVar("Form", MeterForm, OvenForm)


@require_safe
@for_roles(*EVERYBODY)
def to_read(request: HttpRequest) -> HttpResponse:
    """List what is worth a reading; a scan here opens the page of its set."""
    asked = request.GET.get("code", "")
    if asked and (number := queries.find_set(text=asked)):
        return redirect("moisture:set", number)
    return show(
        request,
        "planning/to_read.html",
        queries.walks(at=timezone.now()),
        asked=asked[:60],
        status=404 if asked else 200,
    )


@require_safe
@for_roles(*EVERYBODY)
def calibration(request: HttpRequest) -> HttpResponse:
    """Show what became of the forecasts of the last half year."""
    page = queries.calibration_page(
        at=timezone.now(), zone=timezone.get_default_timezone()
    )
    return show(request, "planning/calibration.html", page)


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*EVERYBODY)
def wood_set(request: HttpRequest, number: str) -> HttpResponse:
    """Show a set; what a meter or an oven said of it is written down here too."""
    if request.method == "POST":
        return _read(request, number)
    page = _page(request, number)
    return _show(request, page, _new(MeterForm, page), _new(OvenForm, page))


@for_roles(*MOISTURE_READERS)
def _read(request: HttpRequest, number: str) -> HttpResponse:
    page, now = _page(request, number), timezone.now()
    by_oven = "oven-read_at" in request.POST
    form: MeterForm | OvenForm
    form = (OvenForm if by_oven else MeterForm)(request.POST, page=page, at=now)
    try:
        if form.is_valid():
            _write(request, page, form)
            return redirect("moisture:set", number)
    except Refused as fault:
        form.doubt(fault.refusal)
    meter = form if isinstance(form, MeterForm) else _new(MeterForm, page)
    oven = form if isinstance(form, OvenForm) else _new(OvenForm, page)
    return _show(request, page, meter, oven, status=FORM_WRONG.status)


def _write(request: HttpRequest, page: SetPage, form: MeterForm | OvenForm) -> None:
    sure = form.cleaned_data["sure"]
    by, now = person_of(request), timezone.now()
    if isinstance(form, OvenForm):
        actions.weigh_sample(
            plank_set_id=page.id, sample=form.sample(), by=by, at=now, sure=sure
        )
    else:
        actions.read_moisture(
            plank_set_id=page.id,
            how=form.how(),
            pins=form.pins(),
            by=by,
            at=now,
            sure=sure,
        )
    messages.success(request, _("The reading is written down."))


def _page(request: HttpRequest, number: str) -> SetPage:
    return queries.set_page(number=number, by=person_of(request), at=timezone.now())


def _new(form: type[Form], page: SetPage) -> Form:
    now = timezone.localtime()
    return form(initial={"read_at": now}, page=page, at=now)


def _show(
    request: HttpRequest,
    page: SetPage,
    meter: MeterForm,
    oven: OvenForm,
    *,
    status: int = 200,
) -> HttpResponse:
    return show(
        request, "planning/set.html", page, status=status, meter=meter, oven=oven
    )
