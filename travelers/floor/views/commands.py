"""What does a station answer to a card that its screen could not press?"""

from datetime import datetime

from django.http import HttpRequest, HttpResponse

from travelers.floor.forms import read_code
from travelers.floor.queries import CheckScene, Scene, why_unread
from travelers.floor.rules import Wish, reasons
from travelers.floor.rules.facts import Place
from travelers.floor.rules.machine import CARD_OF
from travelers.floor.views import answers, lists, looking, screens
from travelers.formulas.cards import Command, command_of
from travelers.kit.refusals import Refusal


def is_card(text: str) -> bool:
    """Say whether a scan is of a card: a command, or a kind of defect."""
    code = read_code(text)
    return command_of(code) is not None or (code[:1] == "D" and len(code) == 8)


def looked(
    request: HttpRequest,
    place: Place,
    at: datetime,
    text: str,
    asked: dict[str, object],
) -> HttpResponse:
    """Answer a card without recording anything.

    1. The list, and a list of parts at an idle station, are only looked at.
    2. Everything else either was pressed by the page, or does not fit the screen:
       then it is said what does.
    """
    command = command_of(read_code(text))
    if command is Command.LIST:
        return looking.lists(request, place, at)
    scene = looking.scene_on_screen(request, place, at, asked)
    if scene is None:
        return _at_idle(request, place, at, command, text)
    check = looking.check_of(request, scene, place, at, asked)
    return refuse(request, place, at, scene, check, command, text)


def refuse(
    request: HttpRequest,
    place: Place,
    at: datetime,
    scene: Scene,
    check: CheckScene | None,
    command: Command | None,
    text: str,
) -> HttpResponse:
    """Leave the part on the screen and say why the card does nothing."""
    no = _refusal(scene, check, command, text)
    return screens.show_scene(
        request,
        place,
        scene,
        at=at,
        check=check,
        answer=answers.refused(no),
        status=no.status,
    )


def _refusal(
    scene: Scene, check: CheckScene | None, command: Command | None, text: str
) -> Refusal:
    if command is None:
        return why_unread(text=text)
    press = scene.press
    if press and press.refusal and command in (CARD_OF[press.wish], Command.NEXT):
        return press.refusal
    goes = answers.cards(going(scene, check))
    return reasons.CARD_NOT_NOW.about(card_word=command, cards=goes)


def going(scene: Scene, check: CheckScene | None) -> list[Command]:
    """List the cards that a part's screen obeys now."""
    if check and check.unclear and check.unclear.likely is not None:
        return [Command.YES, Command.NO]
    if check and check.is_judged:
        return [Command.YES, Command.NO, Command.LIST]
    if check:
        return [Command.OK, Command.CLEAR, Command.LIST]
    goes = []
    if scene.press and scene.press.refusal is None:
        goes.append(CARD_OF[scene.press.wish])
    if scene.next_check:
        goes.append(Command.NEXT)
    if scene.step:
        goes += [Command.DEFECT, Command.HOLD]
    return [*goes, Command.LIST]


def _at_idle(
    request: HttpRequest,
    place: Place,
    at: datetime,
    command: Command | None,
    text: str,
) -> HttpResponse:
    """Open a list of parts, or say that a part is wanted first."""
    if command in (Command.LOAD, Command.TAKE_OUT):
        return lists.begin(request, place, Wish(command), (), at)
    no = reasons.CARD_NEEDS_PART.about(card_word=command) if command else None
    answer = answers.refused(no or why_unread(text=text))
    return looking.lists(request, place, at, answer=answer)
