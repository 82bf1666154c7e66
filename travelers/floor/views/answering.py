"""How does a lead say yes or no at another person's tablet?"""

from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from travelers.floor.actions import record
from travelers.floor.forms import AnswerForm
from travelers.floor.rules import Wish
from travelers.floor.rules.facts import Place
from travelers.floor.rules.origin import Origin
from travelers.floor.views import answers, screens
from travelers.floor.views.looking import find_scene
from travelers.floor.views.presses import after, back_to_scene
from travelers.kit.people import at_tablets, for_roles
from travelers.kit.refusals import FORM_WRONG, Refusal, Refused
from travelers.shop.actions import known_by
from travelers.shop.rules import EVERYBODY
from travelers.shop.sessions import tablet_id_of, tablet_of


@require_http_methods(["GET", "HEAD", "POST"])
@at_tablets("code")
@for_roles(*EVERYBODY)
def answer(request: HttpRequest, code: str) -> HttpResponse:
    """Record a lead's answer as the lead's; the tablet stays the operator's.

    Who it is is found out first and outside of any transaction, since a wrong PIN
    must be counted although nothing is recorded.
    """
    if request.method != "POST":
        return back_to_scene(request, code)
    form = AnswerForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    place, at = screens.place_of(code), timezone.now()
    try:
        person = known_by(
            tablet=tablet_of(request),
            badge=given["badge"],
            number=given["number"],
            pin=given["pin"],
            at=at,
        )
    except Refused as refused:
        return _again(request, place, at, given, refused.refusal)
    verdict = record(
        wish=Wish(given["wish"]),
        step_id=given["step"],
        station=place,
        person=person,
        event_id=given["event_id"],
        at=at,
        heard_at=at,
        data={"gate": given["gate"], "reason": given["reason"]},
        origin=Origin(tablet_id=tablet_id_of(request)),
    )
    return after(request, place, at, verdict, code="")


def _again(
    request: HttpRequest,
    place: Place,
    at: datetime,
    given: dict[str, Any],
    refusal: Refusal,
) -> HttpResponse:
    """Show the part again with what was typed, but for the PIN."""
    scene = find_scene(request, place, at, step_id=given["step"])
    if scene is None:
        raise Refused(refusal)
    typed = screens.AnswerTyped(given["gate"], given["reason"], given["number"])
    return screens.show_scene(
        request,
        place,
        scene,
        at=at,
        answer=answers.refused(refusal),
        typed=typed,
        status=refusal.status,
    )
