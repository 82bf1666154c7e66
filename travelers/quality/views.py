"""How is a defect reported at a station, and decided at QA's desk?"""

from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from travelers.floor.queries import find_place
from travelers.floor.rules.facts import Place
from travelers.kit.drawing import outlines
from travelers.kit.drawing.zones import OUTLINES, ZONES
from travelers.kit.pages import show
from travelers.kit.people import for_roles
from travelers.kit.refusals import (
    FORM_WRONG,
    NOT_FOUND,
    NOT_YOUR_ROLE,
    Refusal,
    Refused,
)
from travelers.kit.words import label
from travelers.quality import forms, queries
from travelers.quality.actions import decide, report_defect
from travelers.quality.rules import Decision, Severity
from travelers.shop.rules import Role

REPORTERS = (Role.OPERATOR, Role.LEAD, Role.QA)
READERS = (*REPORTERS, Role.PLANNER)
# How far one press of an arrow moves the mark.
NUDGE = Decimal("0.05")
FIRST_KINDS = 12


@dataclass(frozen=True, slots=True)
class Arrow:
    label: str
    sign: str
    x: Decimal
    y: Decimal


@dataclass(frozen=True, slots=True)
class Zone:
    """A numbered place, for who has no hand free to point."""

    number: int
    x: str
    y: str


@dataclass(frozen=True, slots=True)
class ReportPage:
    """The station's screen for a defect: the part, the mark, what was chosen."""

    patient: queries.Patient
    station: Place | None
    event_id: UUID
    x: Decimal | None
    y: Decimal | None
    arrows: tuple[Arrow, ...]
    kind: str = ""
    severity: str = Severity.MAJOR
    note: str = ""
    refusal: Refusal | None = None

    @property
    def zones(self) -> tuple[Zone, ...]:
        return tuple(
            Zone(number, f"{x:.3f}", f"{y:.3f}")
            for number, (x, y) in enumerate(ZONES[self.patient.outline], start=1)
        )

    @property
    def station_code(self) -> str:
        return self.station.code if self.station else ""

    @property
    def first_kinds(self) -> tuple[queries.Kind, ...]:
        return self.patient.kinds[:FIRST_KINDS]

    @property
    def other_kinds(self) -> tuple[queries.Kind, ...]:
        return self.patient.kinds[FIRST_KINDS:]

    @property
    def is_other_kind(self) -> bool:
        return any(kind.code == self.kind for kind in self.other_kinds)


@dataclass(frozen=True, slots=True)
class DefectPage:
    case: queries.Case
    form: forms.DecisionForm | None


@for_roles(*REPORTERS)
def report(request: HttpRequest) -> HttpResponse:
    """Show the outline to touch, then the kinds; a POST records the defect."""
    if request.method == "POST":
        return _record(request)
    patient = queries.get_patient(step_id=_number(request.GET.get("step")))
    station = find_place(code=request.GET.get("station", ""))
    page = _report_page(patient, station, forms.touched_place(request.GET))
    return show(request, "quality/report.html", page)


def _record(request: HttpRequest) -> HttpResponse:
    form = forms.DefectForm(request.POST)
    if not form.is_valid():
        return _report_again(request, FORM_WRONG)
    said = form.cleaned_data
    now = timezone.now()
    verdict = report_defect(
        step_id=said["step"],
        station=find_place(code=said["station"]),
        person=request.user,  # type: ignore[arg-type]
        event_id=said["event_id"],
        at=now,
        heard_at=now,
        kind_code=said["kind"],
        x=said["x"],
        y=said["y"],
        severity=said["severity"],
        note=said["note"],
    )
    if verdict.refusal:
        return _report_again(request, verdict.refusal)
    messages.success(request, _("The defect is on record."))
    return _back_to_work(said["station"], queries.get_patient(step_id=said["step"]))


def _report_again(request: HttpRequest, refusal: Refusal) -> HttpResponse:
    """Show what was chosen once more, and why it could not be recorded."""
    given = request.POST
    patient = queries.get_patient(step_id=_number(given.get("step")))
    page = _report_page(
        patient,
        find_place(code=given.get("station", "")),
        forms.touched_place(given),
        kind=given.get("kind", ""),
        severity=given.get("severity", Severity.MAJOR),
        note=given.get("note", ""),
        refusal=refusal,
    )
    return show(request, "quality/report.html", page, status=refusal.status)


def _report_page(
    patient: queries.Patient,
    station: Place | None,
    place: forms.Place | None,
    *,
    refusal: Refusal | None = None,
    **chosen: str,
) -> ReportPage:
    x, y = place or (None, None)
    return ReportPage(
        patient,
        station,
        uuid4(),
        x,
        y,
        _arrows(place) if place else (),
        refusal=refusal,
        **chosen,
    )


def _arrows(place: forms.Place) -> tuple[Arrow, ...]:
    x, y = place
    return (
        Arrow(_("Mark to the left"), "←", max(x - NUDGE, Decimal(0)), y),
        Arrow(_("Mark up"), "↑", x, max(y - NUDGE, Decimal(0))),
        Arrow(_("Mark down"), "↓", x, min(y + NUDGE, Decimal(1))),
        Arrow(_("Mark to the right"), "→", min(x + NUDGE, Decimal(1)), y),
    )


def _back_to_work(station: str, patient: queries.Patient) -> HttpResponseRedirect:
    """Go back to the part at its station, or at a desk to its instrument."""
    if not station:
        return redirect("floor:instrument", patient.serial)
    there = reverse("floor:station", kwargs={"code": station})
    return redirect(f"{there}?{urlencode({'code': patient.code})}")


def _number(text: str | None) -> int:
    if not (text or "").isdecimal() or len(text or "") > 18:
        raise Refused(NOT_FOUND)
    return int(text or "")


@require_safe
@for_roles(*READERS)
def outline(request: HttpRequest, part: str, shape: str) -> HttpResponse:
    """Serve the outline alone, as a picture that can be pressed."""
    if part not in OUTLINES.values() or shape not in outlines.SHAPES:
        raise Refused(NOT_FOUND)
    place = forms.touched_place(request.GET)
    marks: list[tuple[float, float, int | str]] = []
    if place:
        marks = [(float(place[0]), float(place[1]), "×")]
    elif request.GET.get("zones"):
        marks = [(x, y, number) for number, (x, y) in enumerate(ZONES[part], start=1)]
    drawn = outlines.outline(part, shape, marks, title=_("Outline of the part"))
    return HttpResponse(
        drawn,
        content_type="image/svg+xml",
        headers={"Cache-Control": "private, max-age=86400"},
    )


@require_safe
@for_roles(*READERS)
def defects(request: HttpRequest) -> HttpResponse:
    before = request.GET.get("before")
    page = queries.list_defects(
        now=timezone.now(), before=_number(before) if before else None
    )
    return show(request, "quality/defects.html", page)


@for_roles(*READERS)
def defect(request: HttpRequest, number: int) -> HttpResponse:
    """Show one defect; a POST decides it."""
    case = queries.get_case(defect_id=number, now=timezone.now())
    is_qa = request.user.has(Role.QA)  # type: ignore[union-attr]
    if request.method == "POST" and not is_qa:
        raise Refused(NOT_YOUR_ROLE)
    form = forms.DecisionForm(
        request.POST if request.method == "POST" else None,
        usual=case.usual,
        ways_back=case.ways_back,
    )
    if form.is_valid():
        return _decide(request, number, form)
    page = DefectPage(case, form if is_qa and not case.found.decision else None)
    status = FORM_WRONG.status if request.method == "POST" else 200
    return show(request, "quality/defect.html", page, status=status)


@require_safe
@for_roles(*READERS)
def defect_of_event(request: HttpRequest, event_id: UUID) -> HttpResponse:
    return redirect("quality:defect", queries.number_of(event_id=event_id))


def _decide(
    request: HttpRequest, number: int, form: forms.DecisionForm
) -> HttpResponse:
    decision = Decision(form.cleaned_data["decision"])
    decide(
        defect_id=number,
        decision=decision,
        by=request.user,  # type: ignore[arg-type]
        at=timezone.now(),
        reason=form.cleaned_data["reason"],
        from_operation_id=form.cleaned_data["from_operation"],
    )
    messages.success(
        request, _("Decided: {decision}.").format(decision=label(decision))
    )
    return redirect("quality:defect", number=number)
