"""Which paper is asked for, and who may have it?"""

from collections.abc import Sequence
from enum import StrEnum
from typing import TypeVar
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.orders import queries as orders
from travelers.orders.forms import PlanForm
from travelers.paper import actions, documents, queries, rules
from travelers.paper.rules import Paper, Printing, Size, Stock
from travelers.shop import queries as shop
from travelers.shop.actions import issue_badges, new_secret
from travelers.shop.rules import Role

OFFICE = (Role.PLANNER, Role.LEAD, Role.QA, Role.ROUTE_ENGINEER)
BENCH = (*OFFICE, Role.OPERATOR)
Choice = TypeVar("Choice", bound=StrEnum)


@require_GET
@for_roles(*BENCH)
def traveler(request: HttpRequest, serial: str) -> HttpResponse:
    return _travelers(request, [serial], name=f"traveler-{serial}")


@require_GET
@for_roles(*BENCH)
def traveler_page(request: HttpRequest, serial: str) -> HttpResponse:
    """Show a traveler for the browser's own printer; it is a copy like any other."""
    (own,) = _owners(request, [serial])
    response = HttpResponse(documents.traveler_page(own=own))
    response.headers["Cache-Control"] = "private, no-store"
    return response


@require_GET
@for_roles(*BENCH)
def build_record(request: HttpRequest, serial: str) -> HttpResponse:
    sheet = queries.build_record(serial=serial, size=size_of(request))
    printed = _record(request, Paper.BUILD_RECORD, [serial])
    pdf = documents.build_record(sheet=sheet, printing=printed[serial])
    return as_pdf(pdf, f"record-{serial}")


@require_GET
@for_roles(*OFFICE)
def order_travelers(request: HttpRequest, number: str) -> HttpResponse:
    return _travelers(request, _serials(request, number), name=f"travelers-{number}")


@require_http_methods(["GET", "POST"])
@for_roles(*OFFICE)
def selection(request: HttpRequest) -> HttpResponse:
    asked = request.POST if request.method == "POST" else request.GET
    return _travelers(request, asked.getlist("serial"), name="travelers")


@require_GET
@for_roles(*OFFICE)
def order_tags(request: HttpRequest, number: str) -> HttpResponse:
    serials = _serials(request, number)
    if no := rules.may_print(count=len(serials)):
        raise Refused(no)
    sheet = queries.order_tags(
        number=number, serials=serials, size=size_of(request), stock=_stock(request)
    )
    _record(request, Paper.TAGS, [number])
    return as_pdf(documents.tags(sheet=sheet), f"tags-{number}")


@require_GET
@for_roles(*OFFICE)
def part_tag(request: HttpRequest, code: str) -> HttpResponse:
    sheet = queries.part_tag(code=code, size=size_of(request), stock=_stock(request))
    _record(request, Paper.TAGS, [sheet.name])
    return as_pdf(documents.tags(sheet=sheet), f"tag-{code}")


@require_GET
@for_roles(*BENCH)
def piece_labels(request: HttpRequest, number: str) -> HttpResponse:
    sheet = queries.piece_labels(
        number=number, size=size_of(request), stock=_stock(request)
    )
    _record(request, Paper.PIECE_LABELS, [number])
    return as_pdf(documents.labels(sheet=sheet), f"labels-{number}")


@require_GET
@for_roles(*BENCH)
def delivery_labels(request: HttpRequest, number: str) -> HttpResponse:
    sheet = queries.plank_labels(
        number=number, size=size_of(request), stock=_stock(request)
    )
    _record(request, Paper.PLANK_LABELS, [number])
    return as_pdf(documents.labels(sheet=sheet), f"labels-{number}")


@require_GET
@for_roles(*BENCH)
def batch_label(request: HttpRequest, code: str) -> HttpResponse:
    sheet = queries.batch_label(code=code, size=size_of(request), stock=_stock(request))
    _record(request, Paper.BATCH_LABEL, [code])
    return as_pdf(documents.batch_label(sheet=sheet), f"batch-{code}")


@require_GET
@for_roles(*BENCH)
def cut_plan(request: HttpRequest, number: str) -> HttpResponse:
    """Print a plan as it is asked in the address; it is counted nowhere.

    It is a proposal: what was cut stands with the plank once it is cut.
    """
    page = orders.plank_page(number=number, by=person_of(request))
    form = PlanForm(request.GET, page=page)
    if not (form.is_valid() and form.plan):
        raise Refused(FORM_WRONG)
    sheet = queries.plan_sheet(plank=page.plank, plan=form.plan, size=size_of(request))
    printed = documents.cut_plan(
        sheet=sheet, at=timezone.now(), by=str(person_of(request))
    )
    return as_pdf(printed, f"plan-{number}")


@require_GET
@for_roles(*OFFICE)
def station_card(request: HttpRequest, code: str) -> HttpResponse:
    sheet = queries.station_card(code=code, size=size_of(request))
    _record(request, Paper.STATION_CARD, [code])
    return as_pdf(documents.station_cards(sheet=sheet), f"station-{code}")


@require_GET
@for_roles(*OFFICE)
def study_cards(request: HttpRequest, number: int) -> HttpResponse:
    """Print the cards of a gauge study; they are counted nowhere."""
    sheet = queries.study_cards(
        number=number, size=size_of(request), stock=_stock(request)
    )
    return as_pdf(documents.study_cards(sheet=sheet), f"study-{number}")


@require_GET
@for_roles(*OFFICE)
def print_check(request: HttpRequest) -> HttpResponse:
    """Print a symbol in five sizes, to try printer and scanner with."""
    sheet = queries.station_cards(size=size_of(request))
    return as_pdf(documents.print_check(sheet=sheet), "print-check")


@require_GET
@for_roles(*OFFICE)
def station_cards(request: HttpRequest) -> HttpResponse:
    sheet = queries.station_cards(size=size_of(request))
    _record(request, Paper.STATION_CARD, [card.station for card in sheet.cards])
    return as_pdf(documents.station_cards(sheet=sheet), "stations")


@require_POST
@for_roles(Role.LEAD)
def badges(request: HttpRequest) -> HttpResponse:
    """Print new badges and put them in force, in this order.

    What cannot be printed leaves the former badges as they were.  No sheet is
    counted here: each badge's own row says who issued it and when.
    """
    people = shop.people_to_give(usernames=request.POST.getlist("username"))
    if not people:
        raise Refused(rules.NOTHING_TO_PRINT)
    made = {person: new_secret() for person in people}
    sheet = queries.badge_sheet(made=made, size=size_of(request), stock=_stock(request))
    printed = documents.badges(sheet=sheet)
    issue_badges(made=made, by=person_of(request), at=timezone.now())
    return as_pdf(printed, "badges")


@require_GET
@for_roles(*OFFICE)
def command_cards(request: HttpRequest, code: str) -> HttpResponse:
    sheet = queries.command_cards(code=code, size=size_of(request))
    printed = _record(request, Paper.COMMANDS, [code])
    printing = printed[code]
    pdf = documents.command_cards(sheet=sheet, printing=printing)
    return as_pdf(pdf, f"cards-{code}")


@require_GET
@for_roles(*BENCH)
def load_sheet(request: HttpRequest, load_id: UUID) -> HttpResponse:
    sheet = queries.load_sheet(load_id=load_id, size=size_of(request))
    number = str(load_id)
    printed = _record(request, Paper.LOAD_SHEET, [number])
    pdf = documents.load_sheet(sheet=sheet, printing=printed[number])
    return as_pdf(pdf, f"load-{number[:8]}")


@require_GET
@for_roles(*BENCH)
def rework_sheet(request: HttpRequest, number: int) -> HttpResponse:
    """Print what the rework of a defect does again."""
    sheet = queries.rework_sheet(defect_id=number, size=size_of(request))
    serial = sheet.traveler.serial
    printed = _record(request, Paper.REWORK_SHEET, [serial])
    own = documents.Own(sheet.traveler, printed[serial])
    return as_pdf(documents.rework_sheet(sheet=sheet, own=own), f"rework-{serial}")


@require_GET
@for_roles(*BENCH)
def containment_sheet(request: HttpRequest, number: int) -> HttpResponse:
    """Print what is held as it is now; it is counted nowhere."""
    sheet = queries.containment_sheet(number=number, size=size_of(request))
    printed = documents.containment_sheet(
        sheet=sheet, at=timezone.now(), by=str(person_of(request))
    )
    return as_pdf(printed, f"containment-{number}")


def _travelers(
    request: HttpRequest, serials: Sequence[str], *, name: str
) -> HttpResponse:
    return as_pdf(documents.travelers(owners=_owners(request, serials)), name)


def _owners(request: HttpRequest, serials: Sequence[str]) -> list[documents.Own]:
    found = queries.travelers(serials=serials, size=size_of(request))
    printed = _record(request, Paper.TRAVELER, [one.serial for one in found])
    return [documents.Own(one, printed[one.serial]) for one in found]


def _record(
    request: HttpRequest, paper: Paper, of: Sequence[str]
) -> dict[str, Printing]:
    return actions.record_sheets(
        paper=paper, of=of, by=person_of(request), at=timezone.now()
    )


def _serials(request: HttpRequest, number: str) -> list[str]:
    return queries.order_serials(
        number=number, first=_place(request, "from") or 1, last=_place(request, "to")
    )


def _place(request: HttpRequest, name: str) -> int | None:
    """Read a place in an order; whatever is no such number is refused."""
    asked = request.GET.get(name, "")
    if not asked:
        return None
    if not (asked.isascii() and asked.isdigit() and len(asked) <= 4):
        raise Refused(FORM_WRONG)
    return int(asked)


def size_of(request: HttpRequest) -> Size:
    return _chosen(request, "sheet", Size.A4)


def _stock(request: HttpRequest) -> Stock:
    return _chosen(request, "stock", Stock.SHEET)


def _chosen(request: HttpRequest, name: str, usual: Choice) -> Choice:
    """Read one of a closed list, the usual one where none is named."""
    asked = request.POST.get(name) or request.GET.get(name) or usual
    for known in type(usual):
        if known == asked:
            return known
    raise Refused(FORM_WRONG)


def as_pdf(printed: bytes, name: str) -> HttpResponse:
    response = HttpResponse(printed, content_type="application/pdf")
    response.headers["Content-Disposition"] = str(
        content_disposition_header(as_attachment=False, filename=f"{name}.pdf")
    )
    # Each print is a copy with a number of its own; none comes out of a store.
    response.headers["Cache-Control"] = "private, no-store"
    return response
