"""How are deliveries taken in and shown?

The page of a single plank is answered by ``orders``, which also knows what its sets
became and what the models need; its name stays the lumber's.
"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from travelers.kit.leaves import leaf_asked
from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG
from travelers.lumber import actions, queries
from travelers.lumber.forms import DeliveryForm, PlankList, Planks, list_of
from travelers.lumber.rules import Expected
from travelers.shop.rules import EVERYBODY


@require_safe
@for_roles(*EVERYBODY)
def deliveries(request: HttpRequest) -> HttpResponse:
    page = queries.deliveries(leaf=leaf_asked(request.GET), by=person_of(request))
    return show(request, "lumber/deliveries.html", page)


@for_roles(*queries.WOOD_KEEPERS)
def delivery_new(request: HttpRequest) -> HttpResponse:
    """Ask for a delivery and its planks; a list that is sent is shown first."""
    offered = queries.offered()
    brought = list_of(request.FILES, is_asked="read" in request.POST)
    if request.method != "POST" or "more" in request.POST or brought:
        today = {"received_on": timezone.localdate()}
        form = DeliveryForm(initial=today | request.POST.dict(), offered=offered)
        planks = _unjudged(request, form.expected, brought)
        return _asking(request, form, planks, status=_status(planks))
    form = DeliveryForm(request.POST, offered=offered)
    planks = Planks(request.POST, expected=form.expected)
    if not (form.is_valid() & planks.are_good()):
        return _asking(request, form, planks, status=422)
    made = actions.accept_delivery(
        **form.asked(), planks=planks.planks(by=person_of(request).pk)
    )
    messages.success(request, gettext("The delivery is taken in."))
    return redirect("lumber:delivery", made.number)


def _unjudged(
    request: HttpRequest, expected: Expected | None, brought: PlankList | None
) -> Planks:
    return Planks(
        request.POST or None, judged=False, expected=expected, brought=brought
    )


def _status(planks: Planks) -> int:
    """Say whether something must be looked at before the rows can come in."""
    wrong = planks.brought and (planks.list_faults or planks.faults())
    return FORM_WRONG.status if wrong else 200


def _asking(
    request: HttpRequest, form: DeliveryForm, planks: Planks, *, status: int = 200
) -> HttpResponse:
    return show(request, "lumber/delivery_new.html", planks, status=status, form=form)


@for_roles(*EVERYBODY)
def delivery(request: HttpRequest, number: str) -> HttpResponse:
    if request.method == "POST":
        return _add_planks(request, number)
    page = queries.delivery(number=number, by=person_of(request))
    return show(request, "lumber/delivery.html", page, planks=Planks())


@for_roles(*queries.WOOD_KEEPERS)
def _add_planks(request: HttpRequest, number: str) -> HttpResponse:
    page = queries.delivery(number=number, by=person_of(request))
    brought = list_of(request.FILES, is_asked="read" in request.POST)
    if "more" in request.POST or brought:
        planks = _unjudged(request, page.expected, brought)
        status = _status(planks)
    else:
        planks = Planks(request.POST, expected=page.expected)
        status = 0 if planks.are_good() else FORM_WRONG.status
    if status:
        return show(request, "lumber/delivery.html", page, status=status, planks=planks)
    taken = planks.planks(by=person_of(request).pk)
    actions.add_planks(delivery_id=page.id, planks=taken)
    messages.success(request, gettext("The planks are taken in."))
    return redirect("lumber:delivery", number)
