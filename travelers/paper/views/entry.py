"""How is what was written on a traveler typed in afterwards?"""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods

from travelers.floor.forms import without_nul
from travelers.floor.rules import Wish
from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refusal, Refused
from travelers.paper import actions, queries
from travelers.paper.forms import Read, grid_of, read_sheet
from travelers.paper.forms.reading import text_of
from travelers.paper.queries import PaperSheet
from travelers.paper.rules.deeds import Deed, Told
from travelers.paper.rules.written import Setting
from travelers.shop.rules import Role

WRITERS = (Role.OPERATOR, Role.LEAD, Role.QA)


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*WRITERS)
def entry(request: HttpRequest, serial: str) -> HttpResponse:
    """Show an instrument's lines to be typed in; a POST records what was typed."""
    at = timezone.now()
    sheet = _sheet(serial, at)
    if request.method == "POST":
        return _record(request, sheet, at)
    return show(request, "paper/entry.html", grid_of(sheet, uuid4()))


def _sheet(serial: str, at: datetime) -> PaperSheet:
    today = timezone.localdate(at)
    return queries.paper_sheet(serial=without_nul(serial), today=today)


def _record(request: HttpRequest, sheet: PaperSheet, at: datetime) -> HttpResponse:
    """Record what can be; the rest stays in its boxes, with why."""
    given = request.POST.dict()
    sheet_id = _sheet_id(given)
    by = person_of(request)
    roles = frozenset(map(str, by.roles))
    setting = Setting(timezone.get_current_timezone(), at, sheet.page.released_at)
    read = read_sheet(given, sheet, setting=setting)
    passes = _passes(given, sheet, roles, by.pk, at)
    told = [
        *actions.let_pass(sheet_id=sheet_id, passes=passes, by=by, at=at),
        *actions.enter_deeds(
            sheet_id=sheet_id,
            deeds=read.deeds,
            people={person.pk: person for person in sheet.people.values()},
            entered_by=by,
            heard_at=at,
        ),
    ]
    if not read.faults and all(one.stored for one in told):
        _say(request, len(told))
        return redirect("floor:paper", sheet.serial)
    again = grid_of(
        _sheet(sheet.serial, at),
        uuid4(),
        given=given,
        read=read,
        told=told,
        roles=roles,
    )
    return show(request, "paper/entry.html", again, status=_status(read, told))


def _sheet_id(given: Mapping[str, str]) -> UUID:
    try:
        return UUID(given.get("sheet", ""))
    except ValueError as fault:
        raise Refused(FORM_WRONG) from fault


def _passes(
    given: Mapping[str, str],
    sheet: PaperSheet,
    roles: frozenset[str],
    person_id: int,
    at: datetime,
) -> list[Deed]:
    """Read which gates shall pass, and why; only from who may let them."""
    lines = {line.step.id: line for part in sheet.branches for line in part.lines}
    passes = []
    for name in given:
        what, step, code = (*name.split("-", 2), "", "")[:3]
        gate, reason = Refusal.registry.get(code), text_of(given, name)
        is_number = step.isascii() and step.isdigit() and len(step) < 19
        line = lines.get(int(step)) if is_number else None
        if what != "pass" or not (gate and reason and line and line.is_open):
            continue
        if roles & set(gate.may_allow):
            said = {"gate": code, "reason": reason}
            order = (0, line.order)
            passes.append(
                Deed(
                    line.step.id,
                    line.branch,
                    order,
                    Wish.ALLOW,
                    at,
                    person_id,
                    "",
                    said,
                )
            )
    return passes


def _say(request: HttpRequest, stored: int) -> None:
    if not stored:
        messages.info(request, gettext("Nothing was typed in."))
        return
    said = ngettext("{n} entry is on record.", "{n} entries are on record.", stored)
    messages.success(request, said.format(n=stored))


def _status(read: Read, told: list[Told]) -> int:
    """Answer as the first that was refused; what could not be read comes before."""
    refused = [*read.faults.values(), *(one.refusal for one in told if one.refusal)]
    return refused[0].status if refused else 200
