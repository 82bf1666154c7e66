"""How are defects listed, looked at and decided at QA's desk?"""

from dataclasses import dataclass
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_YOUR_ROLE, Refused
from travelers.kit.words import label
from travelers.quality import forms, queries
from travelers.quality.actions import decide, verify
from travelers.quality.rules import Decision
from travelers.quality.views.reporting import READERS, number_in
from travelers.shop.rules import Role
from travelers.shop.signing import asks_again


@dataclass(frozen=True, slots=True)
class DefectPage:
    case: queries.Case
    form: forms.DecisionForm | None
    rework: queries.Rework | None = None
    verification: forms.VerificationForm | None = None


@dataclass(frozen=True, slots=True)
class DefectsPage:
    list: queries.DefectList
    to_verify: tuple[queries.Rework, ...]


@require_safe
@for_roles(*READERS)
def defects(request: HttpRequest) -> HttpResponse:
    before = request.GET.get("before")
    listed = queries.list_defects(
        now=timezone.now(), before=number_in(before) if before else None
    )
    waiting = () if listed.is_further else queries.reworks_to_verify()
    return show(request, "quality/defects.html", DefectsPage(listed, waiting))


@for_roles(*READERS)
@asks_again
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
        may_replace=case.may_replace,
    )
    if form.is_valid():
        return _decide(request, number, form)
    rework = queries.find_rework(defect_id=number)
    page = DefectPage(
        case,
        form if is_qa and not case.found.decision else None,
        rework,
        forms.VerificationForm() if is_qa and rework and rework.waits else None,
    )
    status = FORM_WRONG.status if request.method == "POST" else 200
    return show(request, "quality/defect.html", page, status=status)


@require_POST
@for_roles(Role.QA)
def verify_rework(request: HttpRequest, number: int) -> HttpResponse:
    """Take down that a rework was found good; a note is never too long to see."""
    form = forms.VerificationForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    verify(
        defect_id=number,
        by=person_of(request),
        at=timezone.now(),
        note=form.cleaned_data["note"],
    )
    messages.success(request, _("The rework is found good."))
    return redirect("quality:defect", number=number)


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
