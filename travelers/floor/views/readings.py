"""What does a typed value at a station become?"""

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from travelers.floor import queries
from travelers.floor.actions import Verdict, record
from travelers.floor.forms import ReadingForm, origin_of, typed_in
from travelers.floor.queries import CheckScene, Scene
from travelers.floor.rules import Wish
from travelers.floor.rules.facts import Place
from travelers.floor.rules.typed import Unclear, original_of, value_of
from travelers.floor.views import answers, screens
from travelers.floor.views.gauges import remember_gauge, remembered_gauges
from travelers.floor.views.looking import find_scene
from travelers.floor.views.presses import (
    answer_to,
    back_to_scene,
    own_press,
    status_of,
)
from travelers.formulas.limits import LONGEST_NUMBER
from travelers.kit.people import at_tablets, for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.routes.rules import Check
from travelers.shop.rules import EVERYBODY
from travelers.shop.sessions import tablet_id_of


@dataclass(frozen=True, slots=True)
class Said:
    """A reading that was taken, and what the gauge said in a unit of its own."""

    check: Check
    place: int
    value: str
    original: str


@require_http_methods(["GET", "HEAD", "POST"])
@at_tablets("code")
@for_roles(*EVERYBODY)
def reading(request: HttpRequest, code: str) -> HttpResponse:
    if request.method != "POST":
        return back_to_scene(request, code)
    form = ReadingForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    return read(request, screens.place_of(code), timezone.now(), form.cleaned_data)


def read(
    request: HttpRequest, place: Place, at: datetime, given: dict[str, Any]
) -> HttpResponse:
    """Record a value of a check, or ask about it before it is stored.

    1. Find the check that the screen showed.
    2. Read what was typed; what is unclear or doubted is asked again.
    3. Record it, and show the next place, the next check or what comes after.
    """
    scene = find_scene(request, place, at, step_id=given["step"])
    check = _check(scene, given)
    value, original = Decimal(0), ""
    if scene and check:
        typed = typed_in(given)
        said = value_of(typed, check, confirmed=given["confirm"])
        if isinstance(said, Unclear):
            return _ask_again(request, place, at, scene, given, said)
        value = said
        original = original_of(typed, check)
    verdict = _record(request, place, at, given, value, original)
    if verdict.refusal or check is None or verdict.bench is None:
        return _refused(request, place, at, verdict, given)
    if given["gauge"] is not None:
        remember_gauge(request, place, check.gauge_kind, given["gauge"])
    told = Said(check, given["place"], f"{value:f}", original)
    return _go_on(request, place, at, verdict, told)


def _check(scene: Scene | None, given: dict[str, Any]) -> Check | None:
    """Find the check, if the step that the screen showed is still at hand."""
    if scene is None or scene.step is None or scene.step.id != given["step"]:
        return None
    checks = (line.check for line in scene.checks)
    return next((check for check in checks if check.id == given["check"]), None)


def _record(
    request: HttpRequest,
    place: Place,
    at: datetime,
    given: dict[str, Any],
    value: Decimal,
    original: str,
) -> Verdict:
    row = {
        "check": given["check"],
        "place": given["place"],
        "value": f"{value:f}",
        "gauge": given["gauge"],
    }
    if original:
        row["read"] = original
    return record(
        wish=Wish.READ,
        step_id=given["step"],
        station=place,
        person=person_of(request),
        event_id=given["event_id"],
        at=at,
        heard_at=at,
        data={"readings": [row]},
        origin=origin_of(request.POST, tablet_id=tablet_id_of(request)),
    )


def _ask_again(
    request: HttpRequest,
    place: Place,
    at: datetime,
    scene: Scene,
    given: dict[str, Any],
    unclear: Unclear,
) -> HttpResponse:
    """Show the check with what was typed and what is unclear about it."""
    shown = _shown(request, place, at, scene, given, unclear)
    return screens.show_scene(
        request, place, scene, at=at, check=shown, status=unclear.refusal.status
    )


def _shown(
    request: HttpRequest,
    place: Place,
    at: datetime,
    scene: Scene,
    given: dict[str, Any],
    unclear: Unclear | None = None,
) -> CheckScene | None:
    shown = queries.check_scene(
        scene=scene,
        check_id=given["check"],
        place=given["place"],
        today=timezone.localdate(at),
        gauge_id=given["gauge"],
        remembered=remembered_gauges(request, place),
    )
    typed = given["value"].strip()[:LONGEST_NUMBER]
    return replace(shown, typed=typed, unclear=unclear) if shown else None


def _refused(
    request: HttpRequest,
    place: Place,
    at: datetime,
    verdict: Verdict,
    given: dict[str, Any],
) -> HttpResponse:
    """Show the check again with what was typed, and why it was not taken."""
    scene = find_scene(request, place, at, step_id=given["step"])
    if scene is None:
        raise Refused(verdict.refusal or FORM_WRONG)
    return screens.show_scene(
        request,
        place,
        scene,
        at=at,
        check=_shown(request, place, at, scene, given),
        answer=answer_to(request, verdict),
        status=status_of(verdict),
    )


def _go_on(
    request: HttpRequest,
    place: Place,
    at: datetime,
    verdict: Verdict,
    told: Said,
) -> HttpResponse:
    """Show what follows a reading: inside goes on, outside stays and is shown."""
    check, number = told.check, told.place
    assert verdict.bench is not None  # noqa: S101 - an accepted reading has one
    scene = queries.scene_of(
        bench=verdict.bench,
        place=place,
        person=person_of(request),
        at=at,
        part_id=verdict.part_id or 0,
        step_id=verdict.step_id,
    )
    taken = scene.notes.readings.get((check.id, number))
    inside = taken is None or taken.inside
    check_id, goes_to = _next(scene, check) if inside else (check.id, number)
    shown = None
    if check_id:
        shown = queries.check_scene(
            scene=scene,
            check_id=check_id,
            place=goes_to,
            today=timezone.localdate(at),
            remembered=remembered_gauges(request, place),
        )
    said = answers.read(
        check,
        number,
        told.value,
        inside=inside,
        original=told.original,
        overdue=taken is not None and taken.overdue,
    )
    return screens.show_scene(
        request,
        place,
        scene,
        at=at,
        check=shown,
        answer=said,
        undo=own_press(request, verdict),
    )


def _next(scene: Scene, check: Check) -> tuple[int, int]:
    """Choose what to read next: the same check's next place before other checks."""
    lines = [line for line in scene.checks if line.is_open]
    same = next((line for line in lines if line.check.id == check.id), None)
    line = same or next(iter(lines), None)
    return (line.check.id, line.next_place) if line else (0, 0)
