"""What does a station show: its lists, or the part that was scanned?"""

from datetime import datetime

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
from travelers.floor.views import answers, screens
from travelers.floor.views.answers import Answer
from travelers.kit.drawing.answers import Answer as Shape
from travelers.kit.pages import wants_piece
from travelers.kit.people import for_roles, person_of
from travelers.shop.rules import EVERYBODY

# The kinds of tags that lead to a part at work.
TO_A_PART = (Thing.PART, Thing.PIECE, Thing.PLANK_SET)


@require_safe
@for_roles(*EVERYBODY)
def station(request: HttpRequest, code: str) -> HttpResponse:
    place = screens.place_of(code)
    at = timezone.now()
    asked = asked_in(request)
    text = str(asked["code"] or "")
    if not text:
        return _lists(request, place, at, seen=str(asked["seen"] or ""))
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
    check = None if asked["part"] else _check(request, scene, place, at, asked)
    answer = _answer(scene) if asked["scanned"] else None
    return screens.show_scene(request, place, scene, check=check, answer=answer)


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
        remembered=remembered_gauges(request, place),
    )


def remembered_gauges(request: HttpRequest, place: Place) -> dict[str, int]:
    """Give the gauge of each kind that was used last at this station."""
    gauges: dict[str, dict[str, int]] = request.session.get("gauges", {})
    return gauges.get(place.code, {})


def _lists(
    request: HttpRequest,
    place: Place,
    at: datetime,
    *,
    seen: str = "",
    answer: Answer | None = None,
) -> HttpResponse:
    """Show what is ready here; a screen that has seen all of it gets no answer.

    The minute belongs to what was seen, since waiting times are shown in minutes.
    """
    now = f"{queries.pulse()}-{at:%H%M}"
    if seen == now:
        return HttpResponse(status=204)
    page = screens.StationPage(
        place,
        screens.address(place, {}),
        "",
        wants_piece(request),
        answer,
        idle=queries.idle(place=place, at=at),
        seen=now,
    )
    return screens.leave(request, page)


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
        return go(request, reverse("floor:station", args=[tag.number]))
    if tag.thing is Thing.GAUGE:
        return _gauge(request, place, at, tag, asked)
    refusal = tag.not_allotted()
    return screens.show_unread(
        request, place, Unread(refusal), answers.refused(refusal)
    )


def _gauge(
    request: HttpRequest,
    place: Place,
    at: datetime,
    tag: Tag,
    asked: dict[str, object],
) -> HttpResponse:
    """Take a scanned gauge to hand for the check that stands on the screen."""
    if asked["part"] and asked["check"]:
        shown = {name: asked[name] for name in ("step", "check", "place")}
        shown = {"code": asked["part"], **shown, "gauge": tag.id}
        return go(request, screens.address(place, shown))
    text = gettext("Scan the part first, then {gauge}.").format(gauge=tag.number)
    return _lists(request, place, at, answer=Answer(Shape.LOOK, gettext("Look"), text))


def go(request: HttpRequest, url: str) -> HttpResponse:
    """Lead to another screen, whole: head and all."""
    response: HttpResponse = HttpResponseClientRedirect(url)
    if not wants_piece(request):
        response = HttpResponse(status=303, headers={"Location": url})
    return response
