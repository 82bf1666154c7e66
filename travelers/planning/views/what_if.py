"""How does a planner try another floor, and see it beside today's?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.kit.words import remedy_of, sentence_of
from travelers.planning.actions import drop_what_if, keep_what_if, try_what_if
from travelers.planning.forms import WhatIfForm
from travelers.planning.queries import forecast as queries

SEED, FUTURES = 1, 200


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*queries.FORECASTERS)
def what_ifs(request: HttpRequest) -> HttpResponse:
    """List what was tried; a post names something else to try."""
    stations, orders = queries.what_can_change()
    form = WhatIfForm(
        request.POST if request.method == "POST" else None,
        stations=stations,
        orders=orders,
    )
    if request.method == "POST" and form.is_valid():
        try:
            made = keep_what_if(
                name=form.cleaned_data["name"],
                changes=form.changes(),
                by=person_of(request),
                at=timezone.now(),
            )
        except Refused as no:
            said = f"{sentence_of(no.refusal)} {remedy_of(no.refusal)}"
            form.add_error("name", said)
        else:
            return redirect("what_if:what_if", made.pk)
    wrong = bool(form.errors)
    return show(
        request,
        "planning/what_ifs.html",
        queries.trials(),
        status=FORM_WRONG.status if wrong else 200,
        form=form,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*queries.FORECASTERS)
def what_if(request: HttpRequest, number: int) -> HttpResponse:
    """Show one beside today; a post lives through both with the same luck."""
    zone = timezone.get_default_timezone()
    if request.method == "POST":
        try_what_if(
            what_if_id=number, at=timezone.now(), seed=SEED, futures=FUTURES, zone=zone
        )
        return redirect("what_if:what_if", number)
    page = queries.trial_page(what_if_id=number, zone=zone)
    return show(request, "planning/what_if.html", page)


@require_POST
@for_roles(*queries.FORECASTERS)
def drop(request: HttpRequest, number: int) -> HttpResponse:
    drop_what_if(what_if_id=number)
    messages.success(request, _("It is thrown away."))
    return redirect("what_if:what_ifs")
