"""What does a scan become where no script runs: a part shown, or a command obeyed?"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from travelers.floor.forms import CardForm, read_code
from travelers.floor.queries import CheckScene, Scene
from travelers.floor.rules.facts import Place
from travelers.floor.rules.machine import CARD_OF
from travelers.floor.views import commands, lists, looking, presses, readings, screens
from travelers.formulas.cards import Command, command_of
from travelers.kit.people import at_tablets, for_roles
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.shop.rules import EVERYBODY

Given = dict[str, Any]
SHOWN = ("part", "step", "check", "place")


@require_http_methods(["GET", "HEAD", "POST"])
@at_tablets("code")
@for_roles(*EVERYBODY)
def scan(request: HttpRequest, code: str) -> HttpResponse:
    """Lead to what was scanned; a command card is obeyed at once.

    A scan by a script only looks, and presses the page's own buttons for a card.
    Without one the form says what stands on the screen, and this view presses.
    """
    place, at = screens.place_of(code), timezone.now()
    if request.method != "POST":
        return screens.go(request, screens.address(place, {}))
    form = CardForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    if given["wish"]:
        return _at_list(request, place, at, given)
    command = command_of(read_code(given["code"]))
    if command is None:
        asked = {name: given[name] for name in SHOWN if given[name]}
        shown = {"code": given["code"], "scanned": 1, **asked}
        return screens.go(request, screens.address(place, shown))
    return obey(request, place, at, command, given)


def _at_list(
    request: HttpRequest, place: Place, at: datetime, given: Given
) -> HttpResponse:
    asked = lists.asked_in(request.POST, place, at)
    command = command_of(read_code(given["code"]))
    if command is None:
        url = screens.list_address(place, asked.wish, asked.load, asked.codes)
        return screens.go(request, f"{url}&{urlencode({'code': given['code']})}")
    if not given["ask"] and lists.confirms(asked.wish, command):
        return lists.confirm_all(request, asked, given["event_id"])
    return lists.obey(request, asked, command, given["ask"])


@dataclass(frozen=True, slots=True)
class Screen:
    """What stood on the screen when a card was scanned, and the card."""

    request: HttpRequest
    place: Place
    at: datetime
    scene: Scene
    command: Command
    given: Given

    @property
    def check(self) -> CheckScene | None:
        return looking.check_of(
            self.request, self.scene, self.place, self.at, self.given
        )


def obey(
    request: HttpRequest, place: Place, at: datetime, command: Command, given: Given
) -> HttpResponse:
    """Do what a card says to the part on the screen, or say why it does nothing."""
    scene = looking.scene_on_screen(request, place, at, given)
    if command is Command.LIST or scene is None:
        return commands.looked(request, place, at, given["code"], given)
    screen = Screen(request, place, at, scene, command, given)
    for does in (_press, _doubt, _judge, _lead):
        if answer := does(screen):
            return answer
    return commands.refuse(
        request, place, at, scene, screen.check, command, given["code"]
    )


def _press(screen: Screen) -> HttpResponse | None:
    """Press the wide button, if it is the one that the card names."""
    scene = screen.scene
    press, step = scene.press, scene.step
    if press is None or press.refusal or step is None:
        return None
    named = CARD_OF[press.wish] is screen.command
    is_next = screen.command is Command.NEXT and not scene.next_check
    if not (named or is_next):
        return None
    return presses.pressed(
        screen.request,
        screen.place,
        screen.at,
        given={
            "wish": press.wish,
            "code": scene.part.code,
            "step": step.id,
            "event_id": screen.given["event_id"],
        },
    )


def _doubt(screen: Screen) -> HttpResponse | None:
    """Answer whether a doubted value is meant: yes stores it, no clears it."""
    given = screen.given
    if not (given["check"] and given["doubted"]):
        return None
    if screen.command is Command.YES:
        return _read(screen, given["doubted"], confirm=given["doubted"])
    if screen.command is Command.NO:
        shown = {name: given[name] for name in ("step", "check", "place", "gauge")}
        named = {name: each for name, each in shown.items() if each}
        asked = {"code": screen.scene.part.code, **named}
        return screens.go(screen.request, screens.address(screen.place, asked))
    return None


JUDGED = {Command.YES: "1", Command.NO: "0"}


def _judge(screen: Screen) -> HttpResponse | None:
    """Answer a check that is good or not good."""
    check = screen.check
    if check is None or not check.is_judged or screen.command not in JUDGED:
        return None
    return _read(screen, JUDGED[screen.command])


def _read(screen: Screen, value: str, *, confirm: str = "") -> HttpResponse:
    said = {**screen.given, "value": value, "confirm": confirm, "instead": ""}
    return readings.read(screen.request, screen.place, screen.at, said)


def _lead(screen: Screen) -> HttpResponse | None:
    """Lead to the next check, or to the form for a defect."""
    scene, place = screen.scene, screen.place
    if scene.step is None:
        return None
    if screen.command is Command.NEXT and (line := scene.next_check):
        check = {"check": line.check.id, "place": line.next_place}
        asked = {**screens.asked_for(scene), **check}
        return screens.go(screen.request, screens.address(place, asked))
    if screen.command is Command.DEFECT:
        query = urlencode({"step": scene.step.id, "station": place.code})
        return screens.go(screen.request, f"{reverse('quality:report')}?{query}")
    return None
