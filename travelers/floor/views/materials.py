"""How are batches taken in, looked at and held, at a desk?"""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from travelers.floor import queries
from travelers.floor.actions import hold_batches, lift_batch_hold, take_batch_in
from travelers.floor.forms import (
    BatchHoldForm,
    BatchLiftForm,
    TakeBatchInForm,
    without_nul,
)
from travelers.floor.queries import MaterialsPage
from travelers.kit import words
from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.shop.rules import EVERYBODY, Role

KEEPERS = (Role.LEAD, Role.QA)


@dataclass(frozen=True, slots=True)
class MaterialsShown:
    page: MaterialsPage
    form: TakeBatchInForm | None


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*EVERYBODY)
def materials(request: HttpRequest) -> HttpResponse:
    """List the batches of all materials; a lead takes one in here."""
    if request.method == "POST":
        return _take_in(request)
    return _list(request, None)


@for_roles(*KEEPERS)
def _take_in(request: HttpRequest) -> HttpResponse:
    at = timezone.now()
    page = queries.materials_page(by=person_of(request), today=timezone.localdate(at))
    form = TakeBatchInForm(request.POST, materials=page.by_batch)
    if not form.is_valid():
        return _list(request, form, status=FORM_WRONG.status)
    given = form.cleaned_data
    try:
        made = take_batch_in(
            material_id=int(given["material"]),
            number=given["number"],
            received_on=given["received_on"],
            expires_on=given["expires_on"],
            by=person_of(request),
            at=at,
        )
    except Refused as no:
        said = f"{words.sentence_of(no.refusal)} {words.remedy_of(no.refusal)}"
        form.add_error("number", said)
        return _list(request, form, status=no.refusal.status)
    messages.success(request, gettext("The batch is taken in; print its label."))
    return redirect("materials:batch", made.code)


def _list(
    request: HttpRequest, form: TakeBatchInForm | None, *, status: int = 200
) -> HttpResponse:
    today = timezone.localdate(timezone.now())
    page = queries.materials_page(by=person_of(request), today=today)
    if form is None and page.may_take_in and page.by_batch:
        form = TakeBatchInForm(initial={"received_on": today}, materials=page.by_batch)
    shown = MaterialsShown(page, form)
    return show(request, "floor/materials.html", shown, status=status)


@require_safe
@for_roles(*EVERYBODY)
def batch_page(request: HttpRequest, code: str) -> HttpResponse:
    page = queries.batch_page(
        code=without_nul(code),
        by=person_of(request),
        today=timezone.localdate(timezone.now()),
    )
    return show(request, "floor/batch.html", page)


@require_POST
@for_roles(*KEEPERS)
def hold_batch(request: HttpRequest, code: str) -> HttpResponse:
    """Hold a batch: nothing more is made of it at any bench."""
    form = BatchHoldForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    batch = queries.get_batch(code=without_nul(code))
    hold_batches(
        holds=[(given["event_id"], batch.batch_id)],
        reason=given["reason"],
        by=person_of(request),
        at=timezone.now(),
    )
    messages.success(request, gettext("The hold is on."))
    return redirect("materials:batch", code)


@require_POST
@for_roles(*KEEPERS)
def lift_batch(request: HttpRequest, code: str) -> HttpResponse:
    form = BatchLiftForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    lift_batch_hold(
        uuid=given["hold"],
        reason=given["reason"],
        by=person_of(request),
        at=timezone.now(),
    )
    messages.success(request, gettext("The hold is off."))
    return redirect("materials:batch", code)
