"""How does QA swap a part between two instruments?"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from travelers.floor import queries
from travelers.floor.forms import SwapForm, read_code, without_nul
from travelers.floor.queries import SwapPage
from travelers.floor.rules import Wish
from travelers.floor.views.from_a_desk import record_now
from travelers.kit.pages import show
from travelers.kit.people import for_roles
from travelers.kit.refusals import FORM_WRONG, NOT_FOUND, Refusal, Refused
from travelers.shop.rules import Role
from travelers.shop.signing import asks_again


@dataclass(frozen=True, slots=True)
class Swapping:
    """Both sides of a swap, with what was just refused."""

    shown: SwapPage
    refusal: Refusal | None = None
    typed: Mapping[str, str] | None = None


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(Role.QA)
@asks_again
def swap(request: HttpRequest, serial: str) -> HttpResponse:
    """Show both parts beside each other; a POST swaps them."""
    if request.method == "POST":
        return _swap(request, serial)
    asked = without_nul(request.GET.get("with", "")).strip()[:512]
    shown = _shown(serial, request.GET.get("part", ""), asked)
    refusal = shown.unread.refusal if shown.unread else shown.refusal
    return show(request, "floor/swap.html", Swapping(shown, refusal))


def _shown(serial: str, part: str, asked: str) -> SwapPage:
    shown = queries.swap_page(
        serial=without_nul(serial),
        code=read_code(part),
        text=read_code(asked),
        typed=asked,
    )
    if shown is None:
        raise Refused(NOT_FOUND)
    return shown


def _swap(request: HttpRequest, serial: str) -> HttpResponse:
    form = SwapForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    verdict = record_now(
        request,
        Wish.SWAP,
        code=given["part"],
        event_id=given["event_id"],
        said={name: given[name] for name in ("with", "of", "to", "reason")},
    )
    if verdict.refusal:
        shown = _shown(serial, given["part"], given["with"])
        page = Swapping(shown, verdict.refusal, given)
        status = verdict.refusal.status
        return show(request, "floor/swap.html", page, status=status)
    messages.success(
        request,
        gettext(
            "Both parts are swapped. Print both travelers and the parts’ tags anew: "
            "the old ones name the old pair."
        ),
    )
    return redirect("floor:instrument", serial)
