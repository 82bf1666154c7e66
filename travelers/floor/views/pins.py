"""How does a planner put something first, and who sees what stands first?"""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from travelers.floor import queries
from travelers.floor.actions import Target, pin, unpin
from travelers.floor.forms import PinForm, UnpinForm, without_nul
from travelers.floor.queries import PinRow
from travelers.kit.pages import show
from travelers.kit.people import for_roles, has_one_of, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.shop.rules import EVERYBODY, Role


@dataclass(frozen=True, slots=True)
class PinsPage:
    """All that is put first, the newest first."""

    rows: tuple[PinRow, ...]
    may_pin: bool


@require_safe
@for_roles(*EVERYBODY)
def pins(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate(timezone.now())
    page = PinsPage(
        queries.pins_standing(today=today),
        has_one_of(request.user, (Role.PLANNER,)),
    )
    return show(request, "floor/pins.html", page)


@require_POST
@for_roles(Role.PLANNER)
def put_first(request: HttpRequest, serial: str) -> HttpResponse:
    """Put an instrument or one of its parts first, in one station's list or in all."""
    form = PinForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    pin(
        uuid=given["event_id"],
        target=Target(without_nul(serial), given["part"], given["station"]),
        reason=given["reason"],
        until_on=given["until_on"],
        by=person_of(request),
        at=timezone.now(),
    )
    messages.success(request, gettext("It stands first now."))
    return redirect("floor:instrument", serial)


@require_POST
@for_roles(Role.PLANNER)
def unpin_(request: HttpRequest) -> HttpResponse:
    """Let something stand in its turn again."""
    form = UnpinForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    unpin(uuid=form.cleaned_data["pin"], by=person_of(request), at=timezone.now())
    messages.success(request, gettext("It stands in its turn again."))
    return redirect("floor:pins")
