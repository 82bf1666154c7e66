"""How is a gauge study measured at a station, part by part?"""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from travelers.floor.forms import read_code, typed_in, without_nul
from travelers.floor.queries import find_place, find_tag, why_unread
from travelers.floor.queries.tags import Thing
from travelers.floor.rules.facts import Place
from travelers.floor.rules.typed import Unclear, value_of
from travelers.formulas.limits import LONGEST_NUMBER
from travelers.kit.pages import show
from travelers.kit.people import at_tablets, for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_FOUND, Refusal, Refused
from travelers.quality import actions, queries, rules
from travelers.quality.forms import StudyValueForm, TakeBackForm
from travelers.quality.queries import BenchStudy, StudyHere
from travelers.shop.rules import EVERYBODY, read_badge


@dataclass(frozen=True, slots=True)
class StudiesHere:
    """The open studies of a station, and why what was scanned leads to none."""

    place: Place
    url: str
    studies: tuple[StudyHere, ...]
    refusal: Refusal | None = None


@dataclass(frozen=True, slots=True)
class StudyScreen:
    """A study at a station: which part to take, or the keys for the one at hand.

    ``part`` is the one at hand, 0 for none; ``said`` answers what was sent.
    """

    place: Place
    study: BenchStudy
    part: int = 0
    typed: str = ""
    unclear: Unclear | None = None
    refusal: Refusal | None = None
    said: str = ""

    @property
    def url(self) -> str:
        return reverse("studies:bench", args=[self.place.code, self.study.id])


@require_safe
@at_tablets("code")
@for_roles(*EVERYBODY)
def studies_here(request: HttpRequest, code: str) -> HttpResponse:
    """List the open studies; the tag of a gauge or the card of a study opens one."""
    place = _place_of(code)
    text = request.GET.get("code", "")
    if not text:
        return _show_list(request, place)
    if read_badge(text):
        return _badge_scanned(request, reverse("studies:here", args=[place.code]))
    found = _study_scanned(place, text)
    if isinstance(found, str):
        return redirect(found)
    return _show_list(request, place, found)


def _study_scanned(place: Place, text: str) -> str | Refusal | None:
    """Lead to the study that was scanned; none where the gauge has several."""
    code = read_code(text)
    if card := rules.read_card(code):
        return _address(place, card[0], code)
    tag = find_tag(code=code)
    if tag is None:
        return why_unread(text=text)
    if tag.thing is not Thing.GAUGE:
        return rules.STUDY_NO_GAUGE
    found = queries.studies_at(place=place, gauge_tag=tag.code)
    if len(found) == 1:
        return _address(place, found[0].id)
    return None if found else rules.STUDY_NONE_HERE.about(gauge=tag.number)


@require_http_methods(["GET", "HEAD", "POST"])
@at_tablets("code")
@for_roles(*EVERYBODY)
def bench_study(request: HttpRequest, code: str, number: int) -> HttpResponse:
    """Show which part is next; once it is scanned, take what the gauge shows."""
    place, at = _place_of(code), timezone.now()
    study = _study(request, place, number, at)
    if request.method == "POST":
        does = _take_back if "back" in request.POST else _measure
        return does(request, place, study, at)
    text = request.GET.get("code", "").strip()
    if not text:
        return _show(request, StudyScreen(place, study))
    if read_badge(text):
        return _badge_scanned(request, _address(place, number))
    return _show(request, _scanned(place, study, text))


def _scanned(place: Place, study: BenchStudy, text: str) -> StudyScreen:
    """Give the keys for the part that was scanned, or say why not."""
    part = part_meant(study, text)
    if isinstance(part, Refusal):
        return StudyScreen(place, study, refusal=part)
    no = rules.why_not_this(study.sitting, part) if part else study.refusal
    return StudyScreen(place, study, 0 if no else part, refusal=no)


def _badge_scanned(request: HttpRequest, here: str) -> HttpResponse:
    """Take a badge out of the address at once, as a station does."""
    messages.warning(request, gettext("Tap your name above, then scan the badge."))
    return redirect(here)


def part_meant(study: BenchStudy, text: str) -> int | Refusal:
    """Say which part of a study was scanned or typed; 0 for the study or its gauge."""
    if text.isdecimal() and len(text) <= 2:
        return int(text) or rules.STUDY_NOT_ITS_PART
    code = read_code(text)
    if card := rules.read_card(code):
        return card[1] if card[0] == study.id else rules.STUDY_OTHER_CARD
    own = {one.code: one.number for one in study.tagged} | {study.gauge_tag: 0}
    return own[code] if code in own else _not_of(study, code, text)


def _not_of(study: BenchStudy, code: str, text: str) -> Refusal:
    """Say what was scanned that is nothing of this study."""
    tag = find_tag(code=code)
    if tag is None:
        return why_unread(text=text)
    if tag.thing is Thing.GAUGE:
        return rules.STUDY_OTHER_GAUGE.about(other=tag.number, gauge=study.gauge)
    return rules.STUDY_NOT_ITS_PART


def _measure(
    request: HttpRequest, place: Place, study: BenchStudy, at: datetime
) -> HttpResponse:
    """Record a value; what is unclear or doubted is asked again first."""
    form = StudyValueForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    value = value_of(typed_in(given), study.check, confirmed=given["confirm"])
    typed = given["value"].strip()[:LONGEST_NUMBER]
    if isinstance(value, Unclear):
        again = StudyScreen(place, study, given["part"], typed, value)
        return _show(request, again, status=value.refusal.status)
    return _record(request, place, study, at, given, value)


def _record(
    request: HttpRequest,
    place: Place,
    study: BenchStudy,
    at: datetime,
    given: dict[str, Any],
    value: Decimal,
) -> HttpResponse:
    part = given["part"]
    try:
        actions.note_study_value(
            number=study.id,
            part=part,
            value=value,
            by=person_of(request),
            at=at,
            event_id=given["event_id"],
        )
    except Refused as no:
        return _again(request, place, study.id, at, no.refusal)
    said = gettext("Part {n} is taken.").format(n=part)
    return _again(request, place, study.id, at, said=said)


def _take_back(
    request: HttpRequest, place: Place, study: BenchStudy, at: datetime
) -> HttpResponse:
    form = TakeBackForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    by, value_id = person_of(request), form.cleaned_data["back"]
    try:
        back = actions.take_study_value_back(
            number=study.id, value_id=value_id, by=by, at=at
        )
    except Refused as no:
        return _again(request, place, study.id, at, no.refusal)
    said = gettext("Taken back. Measure part {n} again.").format(n=back.part)
    return _again(request, place, study.id, at, said=said)


def _again(
    request: HttpRequest,
    place: Place,
    number: int,
    at: datetime,
    refusal: Refusal | None = None,
    said: str = "",
) -> HttpResponse:
    """Read the study again and show what is next, with what is said to the press."""
    study = _study(request, place, number, at)
    screen = StudyScreen(place, study, refusal=refusal, said=said)
    return _show(request, screen, status=refusal.status if refusal else 200)


def _study(request: HttpRequest, place: Place, number: int, at: datetime) -> BenchStudy:
    by = person_of(request)
    return queries.bench_study(number=number, place=place, by=by, at=at)


def _show(
    request: HttpRequest, screen: StudyScreen, status: int | None = None
) -> HttpResponse:
    said = screen.refusal.status if screen.refusal else 200
    return show(
        request,
        "quality/bench_study.html",
        screen,
        parts=("study",),
        status=said if status is None else status,
    )


def _show_list(
    request: HttpRequest, place: Place, refusal: Refusal | None = None
) -> HttpResponse:
    found = queries.studies_at(place=place)
    page = StudiesHere(place, request.get_full_path(), found, refusal)
    status = refusal.status if refusal else 200
    return show(request, "quality/bench_studies.html", page, status=status)


def _place_of(code: str) -> Place:
    place = find_place(code=without_nul(code))
    if place is None:
        raise Refused(NOT_FOUND)
    return place


def _address(place: Place, number: int, card: str = "") -> str:
    there = reverse("studies:bench", args=[place.code, number])
    return f"{there}?{urlencode({'code': card})}" if card else there
