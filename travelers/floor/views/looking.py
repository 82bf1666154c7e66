"""What does a station's address name, and what stands on its idle screen?"""

from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext

from travelers.floor import queries
from travelers.floor.forms import ShownForm, read_code
from travelers.floor.queries import Scene
from travelers.floor.rules.facts import Place
from travelers.floor.rules.materials import AtHand
from travelers.floor.views import gauges, screens
from travelers.floor.views.answers import Answer
from travelers.kit.news import seen_word
from travelers.kit.pages import wants_piece
from travelers.kit.people import person_of


def asked_in(request: HttpRequest) -> dict[str, object]:
    """Read what the address names; what cannot be read counts as not there."""
    form = ShownForm(request.GET)
    form.is_valid()
    return {name: form.cleaned_data.get(name) for name in form.fields}


def number(asked: dict[str, object], name: str) -> int | None:
    value = asked[name]
    return value if isinstance(value, int) else None


def check_of(
    request: HttpRequest,
    scene: Scene,
    place: Place,
    at: datetime,
    asked: dict[str, object],
) -> queries.CheckScene | None:
    check_id = number(asked, "check")
    if check_id is None:
        return None
    return queries.check_scene(
        scene=scene,
        check_id=check_id,
        place=number(asked, "place") or 1,
        today=timezone.localdate(at),
        gauge_id=number(asked, "gauge"),
        remembered=gauges.remembered_gauges(request, place),
    )


def lists(
    request: HttpRequest,
    place: Place,
    at: datetime,
    *,
    answer: Answer | None = None,
    brings: AtHand | None = None,
    studies: str = "",
    status: int = 200,
) -> HttpResponse:
    """Show what is ready here, and the reader's last press to be taken back."""
    # Felt before anything is read, so that nothing is missed.
    pulse = queries.pulse()
    idle = queries.idle(place=place, at=at)
    undo = queries.last_press(station_id=place.id, person=person_of(request), at=at)
    changes = (*idle.changes, undo.until if undo else None)
    page = screens.StationPage(
        place,
        screens.address(place, {}),
        "",
        wants_piece(request),
        answer,
        idle=idle,
        seen=seen_word(pulse, at=at, changes=changes),
        undo=undo,
        begun=screens.begun(request, place),
        brings=brings,
        studies=studies,
        cutters=queries.cutters_at(station_id=place.id) if place.attended else (),
    )
    return screens.leave(request, page, status=status)


def badge_scanned(request: HttpRequest, place: Place) -> HttpResponse:
    """Take a badge out of the address at once; it opens nothing that way.

    So a browser without script sends it, whose scans go by the address.
    """
    messages.warning(request, gettext("Tap your name above, then scan the badge."))
    return screens.go(request, screens.address(place, {}))


def scene_on_screen(
    request: HttpRequest, place: Place, at: datetime, asked: dict[str, object]
) -> Scene | None:
    """Find the part that stood on the screen when something was scanned."""
    code = read_code(str(asked["part"] or ""))
    step_id = number(asked, "step")
    if not code:
        return None
    return find_scene(request, place, at, code=code, step_id=step_id)


def find_scene(
    request: HttpRequest,
    place: Place,
    at: datetime,
    *,
    code: str = "",
    step_id: int | None = None,
) -> Scene | None:
    """Show the part that a code or a step names, if there is one."""
    found = queries.find_bench(code=code, step_id=step_id)
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
