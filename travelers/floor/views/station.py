"""What does a station show: its lists, or the part that was scanned?"""

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from travelers.floor import queries
from travelers.floor.forms import read_code
from travelers.floor.queries import Scene, Unread
from travelers.floor.queries.tags import Tag, Thing
from travelers.floor.rules import State, Wish
from travelers.floor.rules.facts import Place
from travelers.floor.rules.gauges import STUDY_CARD_ELSEWHERE
from travelers.floor.views import (
    answers,
    batches,
    commands,
    gauges,
    lists,
    looking,
    screens,
)
from travelers.floor.views.answers import Answer
from travelers.kit.people import at_tablets, for_roles
from travelers.kit.refusals import Refusal
from travelers.shop.rules import EVERYBODY, OTHER_STATION, read_badge
from travelers.shop.sessions import tablet_here

# The kinds of tags that lead to a part at work.
TO_A_PART = (Thing.PART, Thing.PIECE, Thing.PLANK_SET)


@require_safe
@at_tablets("code")
@for_roles(*EVERYBODY)
def station(request: HttpRequest, code: str) -> HttpResponse:
    at = timezone.now()
    seen = request.GET.get("seen", "")
    # A screen that looks for news by itself gets no answer where there is none.
    if seen and screens.has_seen_all(seen, at):
        return HttpResponse(status=204)
    place = screens.place_of(code)
    asked = looking.asked_in(request)
    text = str(asked["code"] or "")
    if not text:
        return looking.lists(request, place, at)
    if read_badge(text):
        return looking.badge_scanned(request, place)
    if commands.is_card(text):
        return commands.looked(request, place, at, text, asked)
    return _part(request, place, at, asked)


def _part(
    request: HttpRequest, place: Place, at: datetime, asked: dict[str, object]
) -> HttpResponse:
    """Show the part that was asked for, or say what else was scanned."""
    text, seen = str(asked["code"] or ""), str(asked["seen"] or "")
    # Scanned while a check stands on the screen: step and check are that one's.
    step_id = None if asked["part"] else looking.number(asked, "step")
    scene = looking.find_scene(
        request, place, at, code=read_code(text), step_id=step_id
    )
    if scene is None:
        return _not_a_part(request, place, at, text, asked)
    if seen and screens.waits_on(seen, scene):
        return HttpResponse(status=204)
    if before := _goes_with(request, place, at, asked, scene):
        wish, codes = before
        return lists.begin(request, place, wish, codes, at)
    check = (
        None if asked["part"] else looking.check_of(request, scene, place, at, asked)
    )
    answer = _answer(scene) if asked["scanned"] else None
    answer = answers.heard(scene) if seen else answer
    return screens.show_scene(request, place, scene, at=at, check=check, answer=answer)


def _answer(scene: Scene) -> Answer:
    """Answer a scan that only looks; of work that is begun it says by whom."""
    step = scene.step
    begun = step is not None and step.state is State.RUNNING
    return answers.shown(
        scene, began_by=queries.began_by(step_id=step.id) if step and begun else ""
    )


def _goes_with(
    request: HttpRequest,
    place: Place,
    at: datetime,
    asked: dict[str, object],
    scene: Scene,
) -> tuple[Wish, tuple[str, str]] | None:
    """Say whether a second part in a row makes a list of two, as in a drying room.

    Both must be free to go the same way, so that whoever only looks gets no list.
    """
    if place.attended or not (asked["part"] and asked["scanned"]):
        return None
    first = looking.scene_on_screen(request, place, at, asked)
    if first is None or first.step is None or scene.step is None:
        return None
    wishes = {
        one.press.wish if one.press and one.press.refusal is None else None
        for one in (first, scene)
    }
    wish = wishes.pop()
    if wishes or wish not in lists.WISHES or first.step.id == scene.step.id:
        return None
    return wish, (first.part.code, scene.part.code)


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
        return _no_tag(request, place, text)
    if tag.thing is Thing.STATION:
        return _other_station(request, place, tag)
    if tag.thing is Thing.GAUGE:
        return _gauge(request, place, at, tag, asked)
    if tag.thing is Thing.BATCH:
        return batches.scanned(request, place, at, tag.code, asked)
    return _say_unread(request, place, tag.not_allotted())


def _no_tag(request: HttpRequest, place: Place, text: str) -> HttpResponse:
    """Lead to the gauge study whose card was scanned, or say what is wrong with it."""
    if queries.why_unread(text=text) == STUDY_CARD_ELSEWHERE:
        return screens.go(request, screens.studies_address(place, text))
    found = queries.unread(text=text)
    return screens.show_unread(request, place, found, answers.refused(found.refusal))


def _other_station(request: HttpRequest, place: Place, tag: Tag) -> HttpResponse:
    """Lead to a station whose tag was scanned; a tablet stays at its own."""
    here = tablet_here(request)
    if here and tag.number != here.station:
        other = OTHER_STATION.about(station=here.station_name)
        return _say_unread(request, place, other)
    return screens.go(request, reverse("floor:station", args=[tag.number]))


def _say_unread(request: HttpRequest, place: Place, refusal: Refusal) -> HttpResponse:
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
    """Take a scanned gauge to hand, for what stands on the screen and what comes."""
    scene = looking.scene_on_screen(request, place, at, asked)
    check = looking.check_of(request, scene, place, at, asked) if scene else None
    answer = gauges.choose(request, place, tag.id, at, check)
    if check and not answer.refusal:
        shown = {**screens.asked_for(scene, check), "gauge": tag.id} if scene else {}
        return screens.go(request, screens.address(place, shown))
    status = answer.refusal.status if answer.refusal else 200
    if scene:
        return screens.show_scene(
            request, place, scene, at=at, check=check, answer=answer, status=status
        )
    return looking.lists(
        request,
        place,
        at,
        answer=answer,
        status=status,
        studies="" if answer.refusal else screens.studies_address(place, tag.code),
    )
