"""How does a station's screen leave the server?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect

from travelers.floor import queries
from travelers.floor.forms import without_nul
from travelers.floor.queries import CheckScene, Idle, Scene, Several, Unread
from travelers.floor.rules import Wish
from travelers.floor.rules.facts import Place
from travelers.floor.views.answers import Answer
from travelers.kit.pages import show, wants_piece
from travelers.kit.refusals import NOT_FOUND, Refused


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
    scene: Scene | None = None
    check: CheckScene | None = None
    unread: Unread | None = None
    several: Several | None = None
    ask: str = ""
    went: int = 0
    # The list that was begun here and not confirmed, for who comes back to it.
    begun: str = ""

    @property
    def part_asked(self) -> str:
        """Give the query that names the part alone, without a check."""
        return urlencode(asked_for(self.scene)) if self.scene else ""


def place_of(code: str) -> Place:
    """Find the station of an address."""
    place = queries.find_place(code=without_nul(code))
    if place is None:
        raise Refused(NOT_FOUND)
    return place


def address(place: Place, asked: Mapping[str, object]) -> str:
    """Name what a screen shows, so that reload and back show it again."""
    url = reverse("floor:station", args=[place.code])
    return f"{url}?{urlencode(asked)}" if asked else url


def list_address(place: Place, wish: Wish, load: UUID, codes: Iterable[str]) -> str:
    """Name a list of parts, so that reload and sign-in show it again."""
    url = reverse("floor:several", args=[place.code])
    named = {"wish": wish, "load": load, "parts": ",".join(codes)}
    return f"{url}?{urlencode(named, safe=',')}"


def asked_for(scene: Scene, check: CheckScene | None = None) -> dict[str, object]:
    asked: dict[str, object] = {"code": scene.part.code}
    if scene.step:
        asked["step"] = scene.step.id
    if check:
        asked |= {"check": check.check.id, "place": check.place}
    return asked


def show_scene(
    request: HttpRequest,
    place: Place,
    scene: Scene,
    *,
    check: CheckScene | None = None,
    answer: Answer | None = None,
    status: int = 200,
) -> HttpResponse:
    """Show a part at a station, or one of its checks."""
    asked = asked_for(scene, check)
    page = StationPage(
        place,
        address(place, asked),
        urlencode(asked),
        wants_piece(request),
        answer,
        scene=scene,
        check=check,
        begun=begun(request, place),
    )
    return leave(request, page, status=status)


def begun(request: HttpRequest, place: Place) -> str:
    """Give the address of the list that was begun here and not confirmed."""
    lists: dict[str, str] = request.session.get("lists", {})
    return lists.get(place.code, "")


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
