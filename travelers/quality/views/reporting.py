"""How is a defect reported at a station?"""

from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe
from django_htmx.http import HttpResponseClientRedirect

from travelers.floor.forms import origin_of
from travelers.floor.queries import find_place
from travelers.floor.rules.facts import Place
from travelers.kit.drawing import outlines
from travelers.kit.drawing.zones import OUTLINES, ZONES
from travelers.kit.pages import show, wants_piece
from travelers.kit.people import at_tablets, for_roles
from travelers.kit.refusals import FORM_WRONG, NOT_FOUND, Refusal, Refused
from travelers.quality import forms, queries
from travelers.quality.actions import report_defect
from travelers.quality.rules import MOST_PHOTOS, Severity
from travelers.shop.rules import OTHER_STATION, Role
from travelers.shop.sessions import tablet_here, tablet_id_of

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
    def photo_places(self) -> range:
        return range(1, MOST_PHOTOS + 1)

    @property
    def asks_photos(self) -> bool:
        """Say whether the photos stand open: where one of them was refused."""
        return bool(self.refusal and self.refusal.code.startswith("kit.photo"))

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


@at_tablets()
@for_roles(*REPORTERS)
def report(request: HttpRequest) -> HttpResponse:
    """Show the outline to touch, then the kinds; a POST records the defect.

    Its station is no part of the address, so that it is held here against the tablet's.
    """
    given = request.POST if request.method == "POST" else request.GET
    here = tablet_here(request)
    if here and given.get("station") not in (here.station, here.station_tag):
        raise Refused(OTHER_STATION.about(station=here.station_name))
    if request.method == "POST":
        return _record(request)
    patient = queries.get_patient(step_id=number_in(request.GET.get("step")))
    station = find_place(code=request.GET.get("station", ""))
    page = _report_page(patient, station, forms.touched_place(request.GET))
    return show(request, "quality/report.html", page)


def _record(request: HttpRequest) -> HttpResponse:
    form = forms.DefectForm(request.POST)
    if not form.is_valid():
        return _report_again(request, FORM_WRONG)
    said = form.cleaned_data
    photos = forms.photos_in(request.FILES.getlist("photos"))
    if isinstance(photos, Refusal):
        return _report_again(request, photos)
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
        origin=origin_of(request.POST, tablet_id=tablet_id_of(request)),
        photos=photos,
    )
    if verdict.refusal:
        return _report_again(request, verdict.refusal)
    _say_recorded(request, said["event_id"])
    patient = queries.get_patient(step_id=said["step"])
    return _back_to_work(request, said["station"], patient)


def _say_recorded(request: HttpRequest, event_id: UUID) -> None:
    kept = queries.photos_of(event_id=event_id)
    lost = sum(not photo.is_kept for photo in kept)
    if lost:
        said = ngettext(
            "The defect is on record, but {n} photo could not be kept: "
            "the disk has no room. Tell the admin.",
            "The defect is on record, but {n} photos could not be kept: "
            "the disk has no room. Tell the admin.",
            lost,
        )
        messages.warning(request, said.format(n=lost))
    else:
        messages.success(request, _("The defect is on record."))


def _report_again(request: HttpRequest, refusal: Refusal) -> HttpResponse:
    """Show what was chosen once more, and why it could not be recorded."""
    given = request.POST
    patient = queries.get_patient(step_id=number_in(given.get("step")))
    page = _report_page(
        patient,
        find_place(code=given.get("station", "")),
        forms.touched_place(given),
        kind=given.get("kind", ""),
        severity=given.get("severity", Severity.MAJOR),
        note=given.get("note", ""),
        refusal=refusal,
    )
    return show(
        request, "quality/report.html", page, parts=("report",), status=refusal.status
    )


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


def _back_to_work(
    request: HttpRequest, station: str, patient: queries.Patient
) -> HttpResponse:
    """Go back to the part at its station, or at a desk to its instrument."""
    if station:
        there = reverse("floor:station", kwargs={"code": station})
        url = f"{there}?{urlencode({'code': patient.code})}"
    else:
        url = reverse("floor:instrument", args=[patient.serial])
    return HttpResponseClientRedirect(url) if wants_piece(request) else redirect(url)


def number_in(text: str | None) -> int:
    if not (text or "").isdecimal() or len(text or "") > 18:
        raise Refused(NOT_FOUND)
    return int(text or "")


@require_safe
@at_tablets()
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
