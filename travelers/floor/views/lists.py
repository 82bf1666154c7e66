"""How do many parts go in or come out at once: scan, scan, scan, confirm?"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4, uuid5

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods

from travelers.floor import queries
from travelers.floor.actions import Going, Gone, record_several
from travelers.floor.forms import ListForm, origin_of, read_code, read_going
from travelers.floor.queries.tags import Tag, Thing
from travelers.floor.rules import Wish, pick, reasons
from travelers.floor.rules.facts import Place
from travelers.floor.views import answers, screens
from travelers.floor.views.answers import Answer
from travelers.formulas.cards import Command, command_of
from travelers.kit.drawing.answers import Answer as Shape
from travelers.kit.people import at_tablets, for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.shop.rules import EVERYBODY
from travelers.shop.sessions import tablet_id_of

WISHES = (Wish.LOAD, Wish.TAKE_OUT)


@dataclass(frozen=True, slots=True)
class Asked:
    """A list as its address names it."""

    place: Place
    wish: Wish
    load: UUID
    codes: tuple[str, ...]
    at: datetime


@require_http_methods(["GET", "HEAD", "POST"])
@at_tablets("code")
@for_roles(*EVERYBODY)
def several(request: HttpRequest, code: str) -> HttpResponse:
    """Show a list of parts, with one more that was scanned; a POST confirms it."""
    given = request.POST if request.method == "POST" else request.GET
    asked = asked_in(given, screens.place_of(code), timezone.now())
    if request.method == "POST":
        return confirm(request, asked, read_going(request.POST.getlist("go")))
    form = ListForm(given)
    form.is_valid()
    off, scanned = form.cleaned_data["off"], form.cleaned_data["code"]
    codes = tuple(one for one in asked.codes if one != off)
    asked = with_codes(asked, codes)
    if scanned:
        return scan(request, asked, scanned)
    return show(request, asked)


def begin(
    request: HttpRequest,
    place: Place,
    wish: Wish,
    codes: tuple[str, ...],
    at: datetime,
) -> HttpResponse:
    """Begin a list, with what was scanned already."""
    new = codes[-1] if codes else ""
    return show(request, Asked(place, wish, uuid4(), codes, at), new=new)


def asked_in(given: Mapping[str, Any], place: Place, at: datetime) -> Asked:
    form = ListForm(given)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    said = form.cleaned_data
    load = said["load"] or uuid4()
    return Asked(place, Wish(said["wish"]), load, tuple(said["parts"]), at)


def with_codes(asked: Asked, codes: Sequence[str]) -> Asked:
    return Asked(asked.place, asked.wish, asked.load, tuple(codes), asked.at)


def scan(request: HttpRequest, asked: Asked, text: str) -> HttpResponse:
    """Put what was scanned on the list, or ask whether it shall come off again."""
    if command := command_of(read_code(text)):
        return obey(request, asked, command)
    found = queries.find_bench(code=read_code(text))
    if found is None:
        tag = queries.find_tag(code=read_code(text))
        if tag is not None:
            return _no_part(request, asked, tag)
        listed = read_code(text).replace(",", " ")[: queries.LONGEST_SHOWN]
    else:
        bench = queries.bench_of(found=found)
        place = asked.place
        step = pick(bench, found.part_id, station_id=place.id, stage_id=place.stage_id)
        listed = bench.part(step.part_id if step else found.part_id).code
    if listed in asked.codes:
        return show(request, asked, ask=listed)
    if len(asked.codes) >= queries.MOST_LISTED:
        no = reasons.LIST_FULL.about(most=str(queries.MOST_LISTED))
        return show(request, asked, answer=answers.refused(no), status=no.status)
    return show(request, with_codes(asked, (*asked.codes, listed)), new=listed)


def obey(
    request: HttpRequest, asked: Asked, command: Command, ask: str = ""
) -> HttpResponse:
    """Do what a card says to a list, except what records: that is for `confirm`."""
    if command is Command.LIST:
        return screens.go(request, screens.address(asked.place, {}))
    if ask and command in (Command.YES, Command.OK):
        codes = tuple(one for one in asked.codes if one != ask)
        return show(request, with_codes(asked, codes))
    if ask and command is Command.NO:
        return show(request, asked)
    if command is Command.CLEAR:
        return show(request, with_codes(asked, ()))
    goes = (Command.YES, Command.CLEAR, Command.LIST)
    no = reasons.CARD_NOT_NOW.about(card_word=command, cards=answers.cards(goes))
    return show(request, asked, answer=answers.refused(no), status=no.status)


def confirms(wish: Wish, command: Command) -> bool:
    """Say whether a card confirms a list: yes, or the very thing that the list does."""
    return command in (Command.YES, Command.OK, Command(wish))


def _no_part(request: HttpRequest, asked: Asked, tag: Tag) -> HttpResponse:
    """Answer a scan of a station, a gauge or wood of no instrument."""
    if tag.thing is Thing.STATION:
        return screens.go(request, screens.address(screens.place_of(tag.number), {}))
    if tag.thing is Thing.GAUGE:
        text = gettext("{gauge} is no part; the list stays as it is.")
        return show(
            request,
            asked,
            answer=Answer(Shape.LOOK, gettext("Look"), text.format(gauge=tag.number)),
        )
    no = tag.not_allotted()
    return show(request, asked, answer=answers.refused(no), status=no.status)


def confirm(request: HttpRequest, asked: Asked, going: Sequence[Going]) -> HttpResponse:
    """Record each part of a list; those that are refused meanwhile stay on it."""
    gone = record_several(
        wish=asked.wish,
        going=going,
        load=asked.load,
        station=asked.place,
        person=person_of(request),
        at=asked.at,
        heard_at=asked.at,
        origin=origin_of(request.POST, tablet_id=tablet_id_of(request)),
    )
    done = {one.code for one in gone if one.refusal is None}
    left = tuple(code for code in asked.codes if code not in done)
    # What was recorded has taken or given back its places.
    place = screens.place_of(asked.place.code)
    after = Asked(place, asked.wish, asked.load, left, asked.at)
    return show(request, after, answer=_answer(asked.wish, gone), went=len(done))


def confirm_all(request: HttpRequest, asked: Asked, event_id: UUID) -> HttpResponse:
    """Record all that can go, where a card confirms and no page carries their ids."""
    listed = _several(request, asked)
    going = [
        Going(one.code, one.step_id, uuid5(event_id, str(one.step_id)))
        for one in listed.going
    ]
    return confirm(request, asked, going)


def _answer(wish: Wish, gone: Sequence[Gone]) -> Answer:
    """Say how many went, and of those that did not, how many."""
    count = sum(one.refusal is None for one in gone)
    refused = len(gone) - count
    if not gone:
        text = gettext("Nothing on the list can go now.")
        return Answer(Shape.LOOK, gettext("Look"), text)
    if wish is Wish.LOAD:
        said = ngettext("{n} part lies here now.", "{n} parts lie here now.", count)
    else:
        said = ngettext("{n} part is out.", "{n} parts are out.", count)
    text = said.format(n=count)
    word = str(answers.SAID[wish][0])
    if not refused:
        return Answer(Shape.ACCEPTED, f"{count} · {word}", text)
    stayed = ngettext(
        "{n} was refused meanwhile and stays on the list.",
        "{n} were refused meanwhile and stay on the list.",
        refused,
    )
    text = f"{text} {stayed.format(n=refused)}"
    return Answer(Shape.LOOK, f"{count} · {word}", text)


def _several(request: HttpRequest, asked: Asked) -> queries.Several:
    return queries.several(
        place=asked.place,
        person=person_of(request),
        wish=asked.wish,
        load=asked.load,
        codes=asked.codes,
        at=asked.at,
    )


def show(
    request: HttpRequest,
    asked: Asked,
    *,
    answer: Answer | None = None,
    new: str = "",
    ask: str = "",
    went: int = 0,
    status: int = 200,
) -> HttpResponse:
    """Show the list; ``new`` was just scanned, of ``ask`` it is asked to go off."""
    listed = _several(request, asked)
    if new:
        answer = _said(listed, new)
    if ask:
        text = gettext("{serial} is on the list already. Take it off?")
        text = text.format(serial=_serial(listed, ask))
        answer = Answer(Shape.LOOK, gettext("On the list"), text)
    remember(request, asked)
    return screens.show_several(
        request, asked.place, listed, answer=answer, ask=ask, went=went, status=status
    )


def _serial(listed: queries.Several, code: str) -> str:
    rows = (*listed.going, *listed.apart)
    return next((one.serial for one in rows if one.code == code), "") or code


def _said(listed: queries.Several, new: str) -> Answer:
    one = next((each for each in listed.apart if each.code == new), None)
    if one and one.refusal:
        return answers.refused(one.refusal)
    count = len(listed.going)
    word = ngettext("{n} on the list", "{n} on the list", count).format(n=count)
    return Answer(Shape.ACCEPTED, word)


def remember(request: HttpRequest, asked: Asked) -> None:
    """Keep the list's address for who goes to measure a part and comes back."""
    lists: dict[str, str] = request.session.get("lists", {})
    place = asked.place.code
    url = screens.list_address(asked.place, asked.wish, asked.load, asked.codes)
    wanted = url if asked.codes else None
    if lists.get(place) == wanted:
        return
    kept = {code: each for code, each in lists.items() if code != place}
    request.session["lists"] = {**kept, place: url} if wanted else kept
