"""What is answered to a tablet that sends what it kept?"""

from datetime import datetime
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from travelers.floor import queries as on_floor
from travelers.floor.forms import without_nul
from travelers.kit.people import person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.kit.words import remedy_of, sentence_of
from travelers.outbox.actions import Answer, Carrier, keep_damaged, take_in
from travelers.outbox.forms import read_entry, read_sending
from travelers.outbox.rules import Damaged
from travelers.outbox.views.doors import let_in, tell_time
from travelers.shop.sessions import TABLET_KEY


@login_not_required
@require_POST
def intake(request: HttpRequest, code: str) -> HttpResponse:
    """Take entries in their order, each for itself, and answer each."""
    tablet = let_in(request)
    if request.content_type != "application/json":
        raise Refused(FORM_WRONG)
    signed_in = request.user.is_authenticated
    carrier = Carrier(
        station=on_floor.find_place(code=without_nul(code)),
        station_code=code[:12],
        heard_at=timezone.now(),
        sent_by=person_of(request) if signed_in else None,
        tablet_id=tablet.pk if tablet else request.session.get(TABLET_KEY),
    )
    answers = []
    before: datetime | None = None
    for claim in read_sending(request.body):
        entry = read_entry(claim, station=code)
        if isinstance(entry, Damaged):
            answer = keep_damaged(entry=entry, carrier=carrier)
        else:
            answer = take_in(entry=entry, carrier=carrier, not_before=before)
            before = answer.happened_at or before
        answers.append(_told(answer))
    return tell_time(JsonResponse({"answers": answers}))


def _told(answer: Answer) -> dict[str, Any]:
    refusal = answer.refusal
    return {
        "id": str(answer.id),
        "accepted": refusal is None,
        "refused": refusal.code if refusal else "",
        "sentence": sentence_of(refusal) if refusal else "",
        "remedy": remedy_of(refusal) if refusal else "",
        "repeated": answer.repeated,
        "serial": answer.serial,
    }
