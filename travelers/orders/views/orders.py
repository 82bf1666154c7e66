"""How is an order made, given its wood and released, by the screen?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_POST, require_safe

from travelers.kit.leaves import leaf_asked
from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.orders import actions, queries
from travelers.orders.forms import OrderForm
from travelers.routes import queries as routes


@require_safe
@for_roles(*queries.ORDER_READERS)
def orders(request: HttpRequest) -> HttpResponse:
    page = queries.orders(
        leaf=leaf_asked(request.GET), today=timezone.localdate(), by=person_of(request)
    )
    return show(request, "orders/orders.html", page)


@for_roles(*queries.ORDER_KEEPERS)
def order_new(request: HttpRequest) -> HttpResponse:
    buildable = routes.buildable()
    asked = request.POST if request.method == "POST" else None
    form = OrderForm(asked, buildable=buildable)
    if form.is_valid():
        order = actions.make_order(
            **form.asked(), by=person_of(request), at=timezone.now()
        )
        messages.success(request, gettext("The order is made; it wants its wood now."))
        return redirect("orders:order", order.number)
    status = 422 if form.errors else 200
    return show(request, "orders/order_new.html", buildable, form=form, status=status)


@require_safe
@for_roles(*queries.ORDER_READERS)
def order(request: HttpRequest, number: str) -> HttpResponse:
    page = queries.order_page(
        number=number, leaf=leaf_asked(request.GET), by=person_of(request)
    )
    return show(request, "orders/order.html", page, strands=queries.strands())


@require_POST
@for_roles(*queries.ORDER_KEEPERS)
def allot(request: HttpRequest, number: str) -> HttpResponse:
    """Allot the sets that were chosen, or the first that suit."""
    row = queries.get_order(number=number)
    chosen = _chosen(request)
    if branch := request.POST.get("first"):
        chosen = queries.first_suiting(order=row, branch=branch)
    made = actions.allot_sets(order_id=row.pk, plank_set_ids=chosen)
    said = ngettext("{n} set is allotted.", "{n} sets are allotted.", len(made))
    messages.success(request, said.format(n=len(made)))
    return redirect("orders:order", number)


@require_POST
@for_roles(*queries.ORDER_KEEPERS)
def take_back(request: HttpRequest, number: str) -> HttpResponse:
    row = queries.get_order(number=number)
    for plank_set_id in _chosen(request):
        actions.take_back(order_id=row.pk, plank_set_id=plank_set_id)
    messages.success(request, gettext("The set is free again."))
    return redirect("orders:order", number)


@require_POST
@for_roles(*queries.ORDER_KEEPERS)
def release(request: HttpRequest, number: str) -> HttpResponse:
    row = queries.get_order(number=number)
    made = actions.release_order(
        order_id=row.pk, by=person_of(request), at=timezone.now()
    )
    said = ngettext(
        "{n} instrument is on the floor.",
        "{n} instruments are on the floor.",
        len(made),
    )
    messages.success(request, said.format(n=len(made)))
    return redirect("orders:order", number)


def _chosen(request: HttpRequest) -> list[int]:
    """Read the sets that were ticked."""
    ticked = request.POST.getlist("set")
    return [int(pk) for pk in ticked if pk.isdecimal() and len(pk) < 16]
