"""What does a press of a button at a station become?"""

from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from travelers.floor import queries
from travelers.floor.actions import Verdict, record
from travelers.floor.forms import WishForm, origin_of, read_code
from travelers.floor.queries import LastPress
from travelers.floor.queries.scenes import may_pass
from travelers.floor.rules import Wish
from travelers.floor.rules.facts import Place
from travelers.floor.rules.materials import is_own
from travelers.floor.rules.undo import UNDOABLE
from travelers.floor.views import answers, screens
from travelers.floor.views.answers import Answer
from travelers.floor.views.looking import asked_in, badge_scanned
from travelers.formulas.cards import Command, command_of
from travelers.kit.people import at_tablets, for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.shop.rules import EVERYBODY, read_badge
from travelers.shop.sessions import tablet_id_of


@require_http_methods(["GET", "HEAD", "POST"])
@at_tablets("code")
@for_roles(*EVERYBODY)
def wish(request: HttpRequest, code: str) -> HttpResponse:
    """Record a press, and show what it made of the part."""
    if request.method != "POST":
        return back_to_scene(request, code)
    form = WishForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    place, at = screens.place_of(code), timezone.now()
    if read_badge(request.POST.get("mate", "")):
        return badge_scanned(request, place)
    said, kind = form.said(), Wish(given["wish"])
    if kind in SCANNED:
        scanned = read_code(given[SCANNED[kind]])
        command = command_of(scanned)
        if command in AT_A_JOIN:
            kind, said = AT_A_JOIN[command], {}
        elif _means_else(kind, given):
            return _elsewhere(request, place, given, scanned)
    return pressed(
        request,
        place,
        at,
        given={**given, "wish": kind},
        said=said,
    )


# What a scan says, while every scan is taken for a mate or a serial number.
SCANNED = {Wish.MATE: "mate", Wish.USE: "serial"}
# What a card presses then: the work's own end.
AT_A_JOIN = {Command.DONE: Wish.FINISH}


def _means_else(kind: Wish, given: dict[str, Any]) -> bool:
    """Say whether what was scanned is no mate and no serial number."""
    if kind is Wish.USE:
        return is_own(given["serial"])
    return not _is_mate(given["mate"], given["code"])


def _is_mate(mate: str, code: str) -> bool:
    """Say whether a scan while a join runs is meant for the join."""
    return mate != code and mate[:1] not in ("H", "G", "B", "C", "D")


def _elsewhere(
    request: HttpRequest, place: Place, given: dict[str, Any], scanned: str
) -> HttpResponse:
    """Look at what was scanned instead; gauges, batches and cards keep the part."""
    asked = {"code": scanned}
    if scanned[:1] in ("B", "C", "D", "G") and given["step"]:
        asked |= {"part": given["code"], "step": given["step"]}
    return screens.go(request, screens.address(place, asked))


def pressed(
    request: HttpRequest,
    place: Place,
    at: datetime,
    *,
    given: dict[str, Any],
    said: dict[str, Any] | None = None,
) -> HttpResponse:
    """Record what was pressed and show the part as it stands after."""
    verdict = record(
        wish=given["wish"],
        code=given["code"],
        step_id=given["step"],
        station=place,
        person=person_of(request),
        event_id=given["event_id"],
        at=at,
        heard_at=at,
        data=said,
        origin=origin_of(request.POST, tablet_id=tablet_id_of(request)),
    )
    return after(request, place, at, verdict, code=given["code"])


def back_to_scene(request: HttpRequest, code: str) -> HttpResponse:
    """Show what a press was about: who signs in again comes back by its address."""
    asked = asked_in(request)
    kept = {name: asked[name] for name in ("code", "step", "check", "place")}
    shown = {name: value for name, value in kept.items() if value}
    return screens.go(request, screens.address(screens.place_of(code), shown))


def after(
    request: HttpRequest, place: Place, at: datetime, verdict: Verdict, *, code: str
) -> HttpResponse:
    """Show the part as it stands after a press, and what was said to the press."""
    if verdict.bench is None:
        found = queries.unread(text=code)
        answer = answers.refused(found.refusal)
        return screens.show_unread(request, place, found, answer)
    scene = queries.scene_of(
        bench=verdict.bench,
        place=place,
        person=person_of(request),
        at=at,
        part_id=verdict.part_id or verdict.bench.parts[0].id,
        step_id=verdict.step_id,
        left=None if verdict.repeated else verdict.step_id,
    )
    answer = answer_to(request, verdict)
    return screens.show_scene(
        request,
        place,
        scene,
        at=at,
        answer=answer,
        undo=own_press(request, verdict),
        status=status_of(verdict),
    )


def own_press(request: HttpRequest, verdict: Verdict) -> LastPress | None:
    """Give what was just done, to be taken back with one more touch."""
    own = person_of(request).pk == verdict.person_id
    if not (own and verdict.accepted and verdict.operation and verdict.bench):
        return None
    if verdict.wish not in UNDOABLE:
        return None
    return LastPress(
        verdict.event_id,
        verdict.step_id or 0,
        verdict.wish,
        verdict.operation,
        verdict.bench.serial,
        verdict.bench.part(verdict.part_id or 0).code,
    )


def answer_to(request: HttpRequest, verdict: Verdict) -> Answer:
    if verdict.refusal is None:
        return answers.done(verdict)
    passes = may_pass(verdict.refusal, person_of(request))
    return answers.refused(verdict.refusal, may_pass=passes)


def status_of(verdict: Verdict) -> int:
    return verdict.refusal.status if verdict.refusal else 200
