"""How does a part that is made anew get its wood at a desk?"""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from travelers.floor.forms import AnewForm, without_nul
from travelers.floor.rules import Wish
from travelers.floor.views.from_a_desk import record_now
from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_FOUND, Refusal, Refused
from travelers.orders import queries as orders
from travelers.orders.queries import WoodInstead
from travelers.shop.rules import Role
from travelers.shop.signing import asks_again


@dataclass(frozen=True, slots=True)
class AnewPage:
    """A part that is made anew, the sets that suit it, and what was just refused."""

    shown: WoodInstead
    may_scrap: bool
    refusal: Refusal | None = None


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(Role.PLANNER, Role.QA)
@asks_again
def anew(request: HttpRequest, serial: str, code: str) -> HttpResponse:
    """Show which wood suits; a POST allots it, or gives the instrument up."""
    shown = orders.wood_instead(serial=without_nul(serial), code=without_nul(code))
    if shown is None:
        raise Refused(NOT_FOUND)
    may_scrap = person_of(request).has(Role.QA)
    if request.method != "POST":
        return show(request, "floor/anew.html", AnewPage(shown, may_scrap))
    form = AnewForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    wish = Wish(given["wish"])
    said = {"set": given["set"]} if wish is Wish.WOOD else {"reason": given["reason"]}
    verdict = record_now(
        request, wish, code=shown.part.code, event_id=given["event_id"], said=said
    )
    if verdict.refusal:
        page = AnewPage(shown, may_scrap, verdict.refusal)
        return show(request, "floor/anew.html", page, status=verdict.refusal.status)
    messages.success(request, _done(wish))
    if wish is Wish.SCRAP:
        return redirect("floor:instrument", serial)
    return redirect("floor:anew", serial, code)


def _done(wish: Wish) -> str:
    if wish is Wish.SCRAP:
        return gettext("The instrument is scrapped.")
    return gettext(
        "The wood is allotted and the part can be begun. Print its tag, and the "
        "traveler anew: the old one names the old part."
    )
