"""How is a cutter changed at its station?"""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from travelers.floor import queries
from travelers.floor.forms import CutterForm
from travelers.floor.queries import CutterNow
from travelers.floor.rules.facts import Place
from travelers.floor.views import screens
from travelers.kit import words
from travelers.kit.pages import show
from travelers.kit.people import at_tablets, for_roles, has_one_of, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.shop.actions import change_cutter
from travelers.shop.rules import CHANGES_CUTTERS, EVERYBODY


@dataclass(frozen=True, slots=True)
class CuttersPage:
    """The cutters of a station; with a form for who changes them."""

    place: Place
    url: str
    cutters: tuple[CutterNow, ...]
    form: CutterForm | None


@require_http_methods(["GET", "HEAD", "POST"])
@at_tablets("code")
@for_roles(*EVERYBODY)
def cutters(request: HttpRequest, code: str) -> HttpResponse:
    """Show what runs here since when, and change one."""
    place = screens.place_of(code)
    if request.method == "POST":
        return _change(request, place)
    return _show(request, place)


@for_roles(*CHANGES_CUTTERS)
def _change(request: HttpRequest, place: Place) -> HttpResponse:
    form = CutterForm(request.POST)
    if not form.is_valid():
        return _show(request, place, form, status=FORM_WRONG.status)
    given = form.cleaned_data
    try:
        change_cutter(
            station_id=place.id, by=person_of(request), at=timezone.now(), **given
        )
    except Refused as no:
        said = f"{words.sentence_of(no.refusal)} {words.remedy_of(no.refusal)}"
        form.add_error("number", said)
        return _show(request, place, form, status=no.refusal.status)
    said = gettext("Cutter {number} runs at {head} from now on.")
    messages.success(request, said.format(number=given["number"], head=given["head"]))
    return redirect("floor:cutters", place.code)


def _show(
    request: HttpRequest,
    place: Place,
    form: CutterForm | None = None,
    *,
    status: int = 200,
) -> HttpResponse:
    runs = queries.cutters_at(station_id=place.id)
    if form is None and has_one_of(request.user, CHANGES_CUTTERS):
        form = CutterForm(initial=_initial(request, runs))
    page = CuttersPage(place, request.get_full_path(), runs, form)
    return show(request, "floor/cutters.html", page, status=status)


def _initial(request: HttpRequest, runs: tuple[CutterNow, ...]) -> dict[str, object]:
    """Fill in the head that was touched, and how long a cutter lasts there."""
    asked = request.GET.get("head", "")
    at_head = next((one for one in runs if one.head == asked), None)
    return {"head": asked, "life_parts": at_head.life_parts} if at_head else {}
