"""What does a station show: its lists, or the part that was scanned?"""

from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe
from django_htmx.http import HttpResponseClientRedirect

from travelers.floor import queries
from travelers.floor.forms import ShownForm, read_code
from travelers.floor.queries import Scene, Unread
from travelers.floor.queries.tags import Tag, Thing
from travelers.floor.rules import State
from travelers.floor.rules.facts import Place
from travelers.floor.views import answers, gauges, screens
from travelers.floor.views.answers import Answer
from travelers.kit.pages import wants_piece
from travelers.kit.people import at_tablets, for_roles, person_of
from travelers.shop.rules import EVERYBODY, OTHER_STATION, read_badge
from travelers.shop.sessions import tablet_here

# The kinds of tags that lead to a part at work.
TO_A_PART = (Thing.PART, Thing.PIECE, Thing.PLANK_SET)


@require_safe
@at_tablets("code")
@for_roles(*EVERYBODY)
def station(request: HttpRequest, code: str) -> HttpResponse:
    place = screens.place_of(code)
    at = timezone.now()
    asked = asked_in(request)
    text, seen = str(asked["code"] or ""), str(asked["seen"] or "")
    # A screen that looks for news by itself gets no answer where there is none.
    if seen and screens.has_seen_all(seen, at):
        return HttpResponse(status=204)
    if not text:
        return _lists(request, place, at)
    if read_badge(text):
        return badge_scanned(request, place)
    return _part(request, place, at, asked)


def _part(
    request: HttpRequest, place: Place, at: datetime, asked: dict[str, object]
) -> HttpResponse:
    """Show the part that was asked for, or say what else was scanned."""
    text, seen = str(asked["code"] or ""), str(asked["seen"] or "")
    # Scanned while a check stands on the screen: step and check are that one's.
    step_id = None if asked["part"] else _number(asked, "step")
    found = queries.find_bench(code=read_code(text), step_id=step_id)
    if found is None:
        return _not_a_part(request, place, at, text, asked)
    scene = queries.scene_of(
        bench=queries.bench_of(found=found),
        place=place,
        person=person_of(request),
        at=at,
        part_id=found.part_id,
        step_id=step_id,
    )
    if seen and screens.waits_on(seen, scene):
        return HttpResponse(status=204)
    check = None if asked["part"] else _check(request, scene, place, at, asked)
    answer = _answer(scene) if asked["scanned"] else None
    answer = answers.heard(scene) if seen else answer
    return screens.show_scene(request, place, scene, at=at, check=check, answer=answer)


def asked_in(request: HttpRequest) -> dict[str, object]:
    """Read what the address names; what cannot be read counts as not there."""
    form = ShownForm(request.GET)
    form.is_valid()
    return {name: form.cleaned_data.get(name) for name in form.fields}


def _answer(scene: Scene) -> Answer:
    """Answer a scan that only looks; of work that is begun it says by whom."""
    step = scene.step
    begun = step is not None and step.state is State.RUNNING
    return answers.shown(
        scene, began_by=queries.began_by(step_id=step.id) if step and begun else ""
    )


def _number(asked: dict[str, object], name: str) -> int | None:
    value = asked[name]
    return value if isinstance(value, int) else None


def _check(
    request: HttpRequest,
    scene: Scene,
    place: Place,
    at: datetime,
    asked: dict[str, object],
) -> queries.CheckScene | None:
    check_id = _number(asked, "check")
    if check_id is None:
        return None
    return queries.check_scene(
        scene=scene,
        check_id=check_id,
        place=_number(asked, "place") or 1,
        today=timezone.localdate(at),
        gauge_id=_number(asked, "gauge"),
        remembered=gauges.remembered_gauges(request, place),
    )


def _lists(
    request: HttpRequest,
    place: Place,
    at: datetime,
    *,
    answer: Answer | None = None,
    status: int = 200,
) -> HttpResponse:
    """Show what is ready here, and the reader's last press to be taken back."""
    page = screens.StationPage(
        place,
        screens.address(place, {}),
        "",
        wants_piece(request),
        answer,
        idle=queries.idle(place=place, at=at),
        seen=screens.seen_now(at),
        undo=queries.last_press(station_id=place.id, person=person_of(request), at=at),
    )
    return screens.leave(request, page, status=status)


def _not_a_part(
    request: HttpRequest,
    place: Place,
    at: datetime,
    text: str,
    asked: dict[str, object],
) -> HttpResponse:
    """Answer a scan that names no part: a station, a gauge, bare wood, or nothing."""
    tag = queries.find_tag(code=read_code(text))
    if tag is None:
        found = queries.unread(text=text)
        return screens.show_unread(
            request, place, found, answers.refused(found.refusal)
        )
    if tag.thing is Thing.STATION:
        here = tablet_here(request)
        if here and tag.number != here.station:
            other = OTHER_STATION.about(station=here.station_name)
            return screens.show_unread(
                request, place, Unread(other), answers.refused(other)
            )
        return go(request, reverse("floor:station", args=[tag.number]))
    if tag.thing is Thing.GAUGE:
        return _gauge(request, place, at, tag, asked)
    refusal = tag.not_allotted()
    return screens.show_unread(
        request, place, Unread(refusal), answers.refused(refusal)
    )


def badge_scanned(request: HttpRequest, place: Place) -> HttpResponse:
    """Take a badge out of the address at once; it opens nothing that way.

    So a browser without script sends it, whose scans go by the address.
    """
    messages.warning(request, gettext("Tap your name above, then scan the badge."))
    return go(request, screens.address(place, {}))


def _gauge(
    request: HttpRequest,
    place: Place,
    at: datetime,
    tag: Tag,
    asked: dict[str, object],
) -> HttpResponse:
    """Take a scanned gauge to hand, for what stands on the screen and what comes."""
    scene = _scene_asked(request, place, at, asked)
    check = _check(request, scene, place, at, asked) if scene else None
    answer = gauges.choose(request, place, tag.id, at, check)
    if check and not answer.refusal:
        shown = {**screens.asked_for(scene, check), "gauge": tag.id} if scene else {}
        return go(request, screens.address(place, shown))
    status = answer.refusal.status if answer.refusal else 200
    if scene:
        return screens.show_scene(
            request, place, scene, at=at, check=check, answer=answer, status=status
        )
    return _lists(request, place, at, answer=answer, status=status)


def _scene_asked(
    request: HttpRequest, place: Place, at: datetime, asked: dict[str, object]
) -> Scene | None:
    """Show again the part that stood on the screen when something was scanned."""
    step_id = _number(asked, "step")
    part = read_code(str(asked["part"] or ""))
    found = queries.find_bench(code=part, step_id=step_id) if part else None
    if found is None:
        return None
    return queries.scene_of(
        bench=queries.bench_of(found=found),
        place=place,
        person=person_of(request),
        at=at,
        part_id=found.part_id,
        step_id=step_id,
    )


def go(request: HttpRequest, url: str) -> HttpResponse:
    """Lead to another screen, whole: head and all."""
    response: HttpResponse = HttpResponseClientRedirect(url)
    if not wants_piece(request):
        response = HttpResponse(status=303, headers={"Location": url})
    return response
