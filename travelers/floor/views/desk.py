"""How does a desk look at an instrument, find it, hold it and lift a hold?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from travelers.floor import queries
from travelers.floor.actions import Verdict
from travelers.floor.forms import HoldForm, LiftForm, read_code, without_nul
from travelers.floor.queries import Choice, InstrumentPage, PinRow, Unread
from travelers.floor.queries.tags import Thing
from travelers.floor.rules import Wish
from travelers.floor.rules.machine import DECIDERS, MAY
from travelers.floor.views.from_a_desk import record_now
from travelers.kit import words
from travelers.kit.drawing.board_plan import Strand
from travelers.kit.pages import show
from travelers.kit.people import at_tablets, for_roles, has_one_of, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_FOUND, Refusal, Refused
from travelers.orders.rules import InstrumentState
from travelers.routes.rules import Branch
from travelers.shop.rules import EVERYBODY, Role
from travelers.shop.sessions import tablet_here
from travelers.shop.signing import asks_again

# For so long something stands first where nobody says another day.
USUAL_PIN = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class DeskPage:
    """An instrument's page for this reader, with what was just refused."""

    shown: InstrumentPage
    strings: tuple[Strand, ...]
    marked: str
    may_hold: bool
    may_lift: bool
    may_undo: bool
    may_type_in: bool = False
    may_swap: bool = False
    may_pin: bool = False
    pins: tuple[PinRow, ...] = ()
    pin_choice: Choice | None = None
    today: date | None = None
    pin_until: date | None = None
    may_give_wood: bool = False
    refusal: Refusal | None = None
    typed: Mapping[str, str] | None = None


@require_safe
@for_roles(*EVERYBODY)
def instrument(request: HttpRequest, serial: str) -> HttpResponse:
    return _show(request, serial, marked=request.GET.get("part", ""))


def _show(
    request: HttpRequest,
    serial: str,
    *,
    marked: str = "",
    verdict: Verdict | None = None,
    typed: Mapping[str, str] | None = None,
) -> HttpResponse:
    shown = queries.instrument_page(serial=without_nul(serial))
    if shown is None:
        raise Refused(NOT_FOUND)
    refusal = verdict.refusal if verdict else None
    today = timezone.localdate(timezone.now())
    may_pin = has_one_of(request.user, (Role.PLANNER,))
    page = DeskPage(
        shown,
        strings(),
        marked,
        may_hold=_may(request, Wish.HOLD),
        may_lift=_may(request, Wish.LIFT),
        may_type_in=_may(request, Wish.START),
        may_undo=_may_undo(request, shown),
        may_swap=_may_swap(request, shown),
        may_pin=may_pin,
        pins=queries.pins_standing(today=today, serial=shown.serial),
        pin_choice=queries.pin_choice(serial=shown.serial) if may_pin else None,
        today=today,
        pin_until=today + USUAL_PIN,
        may_give_wood=_may(request, Wish.WOOD),
        refusal=refusal,
        typed=typed,
    )
    status = refusal.status if refusal else 200
    return show(request, "floor/instrument.html", page, status=status)


def strings() -> tuple[Strand, ...]:
    """Name the strings of the strip: three branches that run into the assembly."""
    return tuple(
        Strand(
            branch,
            words.label(branch),
            branch if branch is Branch.ASSEMBLY else "",
        )
        for branch in Branch
    )


def _may_undo(request: HttpRequest, shown: InstrumentPage) -> bool:
    """Say whether the reader decides here, and the instrument was not given up."""
    decides = bool(DECIDERS & frozenset(person_of(request).roles))
    return decides and shown.state is not InstrumentState.SCRAPPED


def _may_swap(request: HttpRequest, shown: InstrumentPage) -> bool:
    return _may(request, Wish.SWAP) and shown.state is InstrumentState.OPEN


def _may(request: HttpRequest, wish: Wish) -> bool:
    return bool(MAY[wish] & frozenset(person_of(request).roles))


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*EVERYBODY)
def hold(request: HttpRequest, serial: str) -> HttpResponse:
    """Stop an instrument, or one of its parts, with a reason."""
    if request.method != "POST":
        return redirect("floor:instrument", serial)
    form = HoldForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    shown = queries.instrument_page(serial=without_nul(serial))
    if shown is None:
        raise Refused(NOT_FOUND)
    said = {"reason": given["reason"], "only_part": given["code"] != shown.code}
    return _record(request, serial, Wish.HOLD, given, given["code"], said)


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*EVERYBODY)
@asks_again
def lift(request: HttpRequest, serial: str) -> HttpResponse:
    """Lift a hold, with a reason."""
    if request.method != "POST":
        return redirect("floor:instrument", serial)
    form = LiftForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    shown = queries.instrument_page(serial=without_nul(serial))
    if shown is None:
        raise Refused(NOT_FOUND)
    said = {"hold": str(given["hold"]), "reason": given["reason"]}
    return _record(request, serial, Wish.LIFT, given, shown.code, said)


def _record(
    request: HttpRequest,
    serial: str,
    wish: Wish,
    given: dict[str, Any],
    code: str,
    said: dict[str, Any],
) -> HttpResponse:
    verdict = record_now(
        request, wish, code=code, event_id=given["event_id"], said=said
    )
    if not verdict.accepted:
        return _show(request, serial, verdict=verdict, typed=said)
    done = {
        Wish.HOLD: gettext("The hold is on."),
        Wish.LIFT: gettext("The hold is off."),
    }
    messages.success(request, done[wish])
    return redirect("floor:instrument", serial)


@require_safe
@at_tablets()
@for_roles(*EVERYBODY)
def tag(request: HttpRequest, code: str) -> HttpResponse:
    """Open what a printed symbol names; a tablet shows it at its station."""
    if here := tablet_here(request):
        asked = urlencode({"code": code, "scanned": "1"})
        return redirect(f"{reverse('floor:station', args=[here.station])}?{asked}")
    return _open(request, code) or _nothing(request, code)


def _open(request: HttpRequest, text: str) -> HttpResponse | None:
    found = queries.find_tag(code=read_code(text))
    if found is None:
        return None
    if found.thing is Thing.STATION:
        return redirect("floor:station", found.number)
    if found.thing is Thing.BATCH:
        return redirect("materials:batch", found.code)
    if not found.serial:
        return _say_unread(request, Unread(found.not_allotted()))
    part = f"?part={found.code}" if found.thing is Thing.PART else ""
    return redirect(reverse("floor:instrument", args=[found.serial]) + part)


def _nothing(request: HttpRequest, text: str) -> HttpResponse:
    return _say_unread(request, queries.unread(text=text))


def _say_unread(request: HttpRequest, unread: Unread) -> HttpResponse:
    return show(request, "floor/unread.html", unread, status=404)
