"""By what is each person known, and how does a lead change that?"""

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.shop import queries
from travelers.shop.actions import give_number, lift_pause, revoke_badge
from travelers.shop.forms import NumberForm
from travelers.shop.rules import Role

if TYPE_CHECKING:
    from travelers.shop.models import Person


@never_cache
@require_safe
@for_roles(Role.LEAD)
def people(request: HttpRequest) -> HttpResponse:
    rows = queries.people(by=person_of(request), at=timezone.now())
    return show(request, "shop/people.html", rows)


@sensitive_post_parameters("pin", "again")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(Role.LEAD)
def person(request: HttpRequest, username: str) -> HttpResponse:
    """Show by what somebody is known; give a number and a PIN."""
    by, at = person_of(request), timezone.now()
    page = queries.person_page(username=username, by=by, at=at)
    if page is None:
        raise Refused(NOT_FOUND)
    form = NumberForm(
        request.POST if request.method == "POST" else None,
        username=username,
        initial={"number": page.free_number},
    )
    if not form.is_bound or not form.is_valid():
        status = 422 if form.is_bound else 200
        return show(request, "shop/person.html", page, status=status, form=form)
    given = form.cleaned_data
    give_number(
        person=_found(username), number=given["number"], pin=given["pin"], by=by
    )
    said = gettext("{person} signs in with {number} and the new PIN.")
    messages.success(request, said.format(person=page.row.name, number=given["number"]))
    return redirect("shop:person", username)


@require_POST
@for_roles(Role.LEAD)
def badge_revoke(request: HttpRequest, username: str) -> HttpResponse:
    """Take a badge out of force, at once."""
    found = _found(username)
    if revoke_badge(person=found, by=person_of(request), at=timezone.now()):
        said = gettext("The badge of {person} opens nothing more.")
    else:
        said = gettext("{person} has no badge.")
    messages.success(request, said.format(person=found))
    return redirect("shop:person", username)


@require_POST
@for_roles(Role.LEAD)
def pause_lift(request: HttpRequest, username: str) -> HttpResponse:
    """Let somebody try the PIN again."""
    found = _found(username)
    lift_pause(person=found, by=person_of(request))
    said = gettext("{person} may try the PIN again.")
    messages.success(request, said.format(person=found))
    return redirect("shop:person", username)


def _found(username: str) -> "Person":
    found = queries.find_person(username=username)
    if found is None:
        raise Refused(NOT_FOUND)
    return found
