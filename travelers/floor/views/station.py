"""What does a station show: its lists, or the part that was scanned?"""

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from travelers.floor import queries
from travelers.floor.forms import read_code
from travelers.floor.queries import Scene, Unread
from travelers.floor.queries.tags import Tag, Thing
from travelers.floor.rules import Wish
from travelers.floor.rules.facts import Place
from travelers.floor.views import answers, commands, lists, looking, screens
from travelers.floor.views.answers import Answer
from travelers.kit.drawing.answers import Answer as Shape
from travelers.kit.people import for_roles, person_of
from travelers.shop.rules import EVERYBODY

# The kinds of tags that lead to a part at work.
TO_A_PART = (Thing.PART, Thing.PIECE, Thing.PLANK_SET)


@require_safe
@for_roles(*EVERYBODY)
def station(request: HttpRequest, code: str) -> HttpResponse:
    place = screens.place_of(code)
    at = timezone.now()
    asked = looking.asked_in(request)
    text = str(asked["code"] or "")
    if not text:
        return looking.lists(request, place, at, seen=str(asked["seen"] or ""))
    if commands.is_card(text):
        return commands.looked(request, place, at, text, asked)
    # Scanned while a check stands on the screen: step and check are that one's.
    step_id = None if asked["part"] else looking.number(asked, "step")
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
    if before := _goes_with(request, place, at, asked, scene):
        wish, codes = before
        return lists.begin(request, place, wish, codes, at)
    check = (
        None if asked["part"] else looking.check_of(request, scene, place, at, asked)
    )
    answer = answers.shown(scene) if asked["scanned"] else None
    return screens.show_scene(request, place, scene, check=check, answer=answer)


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
        found = queries.unread(text=text)
        return screens.show_unread(
            request, place, found, answers.refused(found.refusal)
        )
    if tag.thing is Thing.STATION:
        return screens.go(request, reverse("floor:station", args=[tag.number]))
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
        return screens.go(request, screens.address(place, shown))
    text = gettext("Scan the part first, then {gauge}.").format(gauge=tag.number)
    return looking.lists(
        request, place, at, answer=Answer(Shape.LOOK, gettext("Look"), text)
    )
