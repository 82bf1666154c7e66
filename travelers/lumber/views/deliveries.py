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
from travelers.lumber import actions, queries
from travelers.lumber.forms import DeliveryForm, Planks
from travelers.shop.rules import EVERYBODY


@require_safe
@for_roles(*EVERYBODY)
def deliveries(request: HttpRequest) -> HttpResponse:
    page = queries.deliveries(leaf=leaf_asked(request.GET), by=person_of(request))
    return show(request, "lumber/deliveries.html", page)


@for_roles(*queries.WOOD_KEEPERS)
def delivery_new(request: HttpRequest) -> HttpResponse:
    offered = queries.offered()
    if request.method != "POST" or "more" in request.POST:
        today = {"received_on": timezone.localdate()}
        form = DeliveryForm(initial=today | request.POST.dict(), offered=offered)
        planks = Planks(request.POST or None, judged=False)
        return _asking(request, form, planks)
    form = DeliveryForm(request.POST, offered=offered)
    planks = Planks(request.POST)
    if not (form.is_valid() & planks.are_good()):
        return _asking(request, form, planks, status=422)
    made = actions.accept_delivery(**form.asked(), planks=planks.planks())
    messages.success(request, gettext("The delivery is taken in."))
    return redirect("lumber:delivery", made.number)


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
    more = "more" in request.POST
    planks = Planks(request.POST, judged=not more)
    if more or not planks.are_good():
        return show(
            request,
            "lumber/delivery.html",
            page,
            status=200 if more else 422,
            planks=planks,
        )
    actions.add_planks(delivery_id=page.id, planks=planks.planks())
    messages.success(request, gettext("The planks are taken in."))
    return redirect("lumber:delivery", number)
