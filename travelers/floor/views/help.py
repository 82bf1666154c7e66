"""Whom does one call at a station, how does one scan, and what do the shapes mean?"""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from travelers.floor import queries
from travelers.floor.forms import read_code
from travelers.floor.queries import Lead, Scene
from travelers.floor.rules.facts import Place
from travelers.floor.views import screens
from travelers.floor.views.looking import asked_in, find_scene, number
from travelers.kit.drawing.marks import ON_FLOOR
from travelers.kit.drawing.marks import Look as Drawn
from travelers.kit.pages import show
from travelers.kit.people import at_tablets, for_roles, person_of
from travelers.shop.rules import EVERYBODY, Role


@dataclass(frozen=True, slots=True)
class HelpPage:
    """A station's help; with a part at hand, the way back to it and a hold for it."""

    place: Place
    url: str
    leads: tuple[Lead, ...]
    is_lead: bool
    scene: Scene | None

    @property
    def looks(self) -> tuple[Drawn, ...]:
        """Give the states that a part can be in, for the list of their shapes."""
        return (*ON_FLOOR, Drawn.DONE)

    @property
    def part_asked(self) -> str:
        return screens.part_asked(self.scene)


@require_safe
@at_tablets("code")
@for_roles(*EVERYBODY)
def help_(request: HttpRequest, code: str) -> HttpResponse:
    place, at = screens.place_of(code), timezone.now()
    asked = asked_in(request)
    text, step_id = str(asked["code"] or ""), number(asked, "step")
    scene = None
    if text:
        scene = find_scene(request, place, at, code=read_code(text), step_id=step_id)
    page = HelpPage(
        place,
        request.get_full_path(),
        queries.leads(at=at),
        person_of(request).has(Role.LEAD),
        scene,
    )
    return show(request, "floor/help.html", page)
