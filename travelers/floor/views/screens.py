"""How does a station's screen leave the server?"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django_htmx.http import HttpResponseClientRedirect

from travelers.floor import queries
from travelers.floor.forms import without_nul
from travelers.floor.queries import (
    CheckScene,
    CutterNow,
    Idle,
    LastPress,
    Scene,
    Several,
    Unread,
)
from travelers.floor.rules import Wish
from travelers.floor.rules.facts import Place
from travelers.floor.rules.materials import AtHand
from travelers.floor.views.answers import Answer
from travelers.kit.news import is_seen, seen_word
from travelers.kit.pages import show, wants_piece, way
from travelers.kit.people import person_of
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.shop.sessions import tablet_of

# Who waits for the lead's answer is asked about anew at least so often.
ASKED_ANEW = timedelta(minutes=1)
# No page stands there longer than somebody may be signed in.
LONGEST_OPEN = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class AnswerTyped:
    """What a lead typed at this tablet and was not taken; never the PIN."""

    gate: str = ""
    reason: str = ""
    number: str = ""


NOTHING_TYPED = AnswerTyped()


@dataclass(frozen=True, slots=True)
class StationPage:
    """A station with one thing on its screen: its lists, a part, a check, a no."""

    place: Place
    url: str
    asked: str
    piece: bool
    answer: Answer | None = None
    idle: Idle | None = None
    seen: str = ""
    # After so many seconds the greyed button is one to press.
    opens_in: int | None = None
    scene: Scene | None = None
    check: CheckScene | None = None
    unread: Unread | None = None
    undo: LastPress | None = None
    on_tablet: bool = False
    typed: AnswerTyped = NOTHING_TYPED
    several: Several | None = None
    ask: str = ""
    went: int = 0
    cutters: tuple[CutterNow, ...] = ()
    # A batch that was scanned and is not in use here yet.
    brings: AtHand | None = None
    # Where the gauge that was scanned is studied.
    studies: str = ""
    # The list that was begun here and not confirmed, for who comes back to it.
    begun: str = ""
    # The query that names the part alone, without a check.
    part_asked: str = ""
    # The browser stands at this address already: its head says what it would say.
    is_there: bool = False

    @property
    def press(self) -> str:
        """Give the address that hears the presses of what is shown."""
        return f"{way('floor:wish', self.place.code)}?{self.asked}"


def place_of(code: str) -> Place:
    """Find the station of an address."""
    place = queries.find_place(code=without_nul(code))
    if place is None:
        raise Refused(NOT_FOUND)
    return place


def address(place: Place, asked: Mapping[str, object]) -> str:
    """Name what a screen shows, so that reload and back show it again."""
    url = way("floor:station", place.code)
    return f"{url}?{urlencode(asked)}" if asked else url


def studies_address(place: Place, text: str) -> str:
    """Name the studies of a scanned gauge, or that of a scanned card."""
    return f"{way('studies:here', place.code)}?{urlencode({'code': text})}"


def part_asked(scene: Scene | None) -> str:
    return urlencode(asked_for(scene)) if scene else ""


def list_address(place: Place, wish: Wish, load: UUID, codes: Iterable[str]) -> str:
    """Name a list of parts, so that reload and sign-in show it again."""
    url = way("floor:several", place.code)
    named = {"wish": wish, "load": load, "parts": ",".join(codes)}
    return f"{url}?{urlencode(named, safe=',')}"


def asked_for(scene: Scene, check: CheckScene | None = None) -> dict[str, object]:
    asked: dict[str, object] = {"code": scene.part.code}
    if scene.step:
        asked["step"] = scene.step.id
    if check:
        asked |= {"check": check.check.id, "place": check.place}
    return asked


def show_scene(  # noqa: PLR0913 - all that a scene can show
    request: HttpRequest,
    place: Place,
    scene: Scene,
    *,
    at: datetime,
    check: CheckScene | None = None,
    answer: Answer | None = None,
    undo: LastPress | None = None,
    typed: AnswerTyped = NOTHING_TYPED,
    brings: AtHand | None = None,
    status: int = 200,
) -> HttpResponse:
    """Show a part at a station, or one of its checks.

    While somebody waits for the lead's answer, the screen looks for it by itself.
    ``undo`` is the reader's last press there, where it is known already.
    """
    asked = part = part_asked(scene)
    if check:
        asked = urlencode(asked_for(scene, check))
    undo = undo or queries.last_press(
        station_id=place.id, person=person_of(request), at=at
    )
    waits = len(scene.waits_for)
    page = StationPage(
        place,
        f"{way('floor:station', place.code)}?{asked}",
        asked,
        wants_piece(request),
        answer,
        scene=scene,
        check=check,
        seen=_seen_waiting(waits, at) if waits else "",
        opens_in=_opens_in(scene, at) if check is None else None,
        undo=undo if undo and undo.serial == scene.serial else None,
        on_tablet=_may_ask(scene) and tablet_of(request) is not None,
        typed=typed,
        brings=brings,
        begun=begun(request, place),
        part_asked=part,
    )
    return leave(request, page, status=status)


def begun(request: HttpRequest, place: Place) -> str:
    """Give the address of the list that was begun here and not confirmed."""
    lists: dict[str, str] = request.session.get("lists", {})
    return lists.get(place.code, "")


def _may_ask(scene: Scene) -> bool:
    """Say whether something stands in the way that a lead could let pass."""
    refusal = scene.press.refusal if scene.press else None
    return refusal is not None and bool(refusal.may_allow)


def _opens_in(scene: Scene, at: datetime) -> int | None:
    """Say how long the time still has to run that stands in the way, if one does."""
    opens_at = scene.opens_at
    if opens_at is None or not at < opens_at < at + LONGEST_OPEN:
        return None
    return math.ceil((opens_at - at).total_seconds())


def has_seen_all(seen: str, at: datetime) -> bool:
    """Say whether a screen with that word still shows what there is."""
    return is_seen(seen.partition("~")[0], pulse=queries.pulse(), at=at)


def _seen_waiting(waits: int, at: datetime) -> str:
    """Name what somebody has seen who waits for the lead's answer.

    The part was read before: what happened since is asked about within the minute.
    """
    word = seen_word(queries.pulse(), at=at, within=ASKED_ANEW)
    return f"{word}~{waits}"


def waits_on(seen: str, scene: Scene) -> bool:
    """Say whether as many questions are without an answer as the screen showed."""
    return seen.partition("~")[2] == str(len(scene.waits_for))


def show_unread(
    request: HttpRequest, place: Place, found: Unread, answer: Answer
) -> HttpResponse:
    page = StationPage(
        place, address(place, {}), "", wants_piece(request), answer, unread=found
    )
    return leave(request, page, status=found.refusal.status)


def show_several(
    request: HttpRequest,
    place: Place,
    several: Several,
    *,
    answer: Answer | None,
    ask: str,
    went: int,
    status: int,
) -> HttpResponse:
    """Show a list of parts that go in or come out together."""
    page = StationPage(
        place,
        list_address(place, several.wish, several.load, several.codes),
        "",
        wants_piece(request),
        answer,
        several=several,
        ask=ask,
        went=went,
    )
    return leave(request, page, status=status)


def leave(
    request: HttpRequest, page: StationPage, *, status: int = 200
) -> HttpResponse:
    """Send the page or its scene, and tell the browser the address that shows it."""
    there = request.headers.get("HX-Current-URL", "")
    page = replace(page, is_there=page.piece and there.endswith(page.url))
    response = show(
        request, "floor/station.html", page, parts=("scene",), status=status
    )
    if page.piece:
        name = "HX-Push-Url" if request.method == "GET" else "HX-Replace-Url"
        response.headers[name] = page.url
    response.headers["Cache-Control"] = "no-store"
    return response


def go(request: HttpRequest, url: str) -> HttpResponse:
    """Lead to another screen, whole: head and all."""
    if wants_piece(request):
        return HttpResponseClientRedirect(url)
    return SeeOther(url)


class SeeOther(HttpResponseRedirect):
    """Lead a browser on by GET, whatever it asked by."""

    status_code = 303
