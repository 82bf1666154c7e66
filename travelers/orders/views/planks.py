"""How are sets cut from a plank and weighed, by the screen?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods, require_POST

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.lumber import actions
from travelers.lumber.queries import WOOD_KEEPERS
from travelers.orders import queries
from travelers.orders.forms import CutForm, PlanForm, WeighForm
from travelers.orders.queries import PlankPage
from travelers.shop.rules import EVERYBODY


@for_roles(*EVERYBODY)
def plank(request: HttpRequest, number: str) -> HttpResponse:
    if request.method == "POST":
        return _cut(request, number)
    page = queries.plank_page(number=number, by=person_of(request))
    return _show(request, page, CutForm(page=page))


@for_roles(*WOOD_KEEPERS)
def _cut(request: HttpRequest, number: str) -> HttpResponse:
    page = queries.plank_page(number=number, by=person_of(request))
    form = CutForm(request.POST, page=page)
    if not form.is_valid():
        return _show(request, page, form, status=422)
    made = actions.cut_sets(
        plank_id=page.plank.id, **form.asked(), cut_on=timezone.localdate()
    )
    said = ngettext("{n} set is cut.", "{n} sets are cut.", len(made))
    messages.success(request, said.format(n=len(made)))
    return redirect("lumber:plank", number)


@require_http_methods(["GET", "POST"])
@for_roles(*EVERYBODY)
def plank_plan(request: HttpRequest, number: str) -> HttpResponse:
    """Show how a plank is best cut; what is asked stands in the address."""
    if request.method == "POST":
        return _saw_so(request, number)
    page = queries.plank_page(number=number, by=person_of(request))
    form = PlanForm(request.GET or None, page=page)
    return _show_plan(request, page, form)


@for_roles(*WOOD_KEEPERS)
def _saw_so(request: HttpRequest, number: str) -> HttpResponse:
    page = queries.plank_page(number=number, by=person_of(request))
    form = PlanForm(request.POST, page=page)
    if not (form.is_valid() and form.plan and form.plan.sets):
        return _show_plan(request, page, form, status=422)
    if form.cleaned_data["seen"] is None:
        raise Refused(FORM_WRONG)
    made = actions.cut_batches(
        plank_id=page.plank.id,
        batches=form.plan.batches,
        cut_on=timezone.localdate(),
        seen_sets=form.cleaned_data["seen"],
    )
    said = ngettext("{n} set is cut.", "{n} sets are cut.", len(made))
    messages.success(request, said.format(n=len(made)))
    return redirect("lumber:plank", number)


def _show_plan(
    request: HttpRequest, page: PlankPage, form: PlanForm, *, status: int = 200
) -> HttpResponse:
    lacking = queries.lacking()
    if form.is_bound and not form.is_valid():
        status = 422
    return show(
        request,
        "orders/plan.html",
        page,
        form=form,
        plan=form.plan,
        rows=[
            (need, field, lacking.get((need.model_id, need.branch), 0))
            for need, field in form.rows
        ],
        asked=request.GET.urlencode(),
        status=status,
    )


@require_POST
@for_roles(*WOOD_KEEPERS)
def weigh(request: HttpRequest, number: str) -> HttpResponse:
    """Take the masses of a set's pieces; ``number`` is the set's."""
    page, plank_set = queries.set_page(number=number, by=person_of(request))
    form = WeighForm(request.POST, plank_set=plank_set)
    if not form.is_valid():
        return _show(request, page, CutForm(page=page), wrong=form, status=422)
    actions.weigh_pieces(plank_set_id=plank_set.id, masses_g=form.masses_g())
    said = gettext("The masses of set {number} are written down.")
    messages.success(request, said.format(number=number))
    return redirect("lumber:plank", page.plank.number)


def _show(
    request: HttpRequest,
    page: PlankPage,
    form: CutForm,
    *,
    wrong: WeighForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """Show a plank with a form to weigh each set, ``wrong`` as it was typed."""
    weighing = [
        (fate, wrong if wrong and wrong.plank_set.id == fate.set.id else _weigh(fate))
        for fate in page.sets
    ]
    return show(
        request, "orders/plank.html", page, form=form, weighing=weighing, status=status
    )


def _weigh(fate: queries.Fate) -> WeighForm:
    return WeighForm(plank_set=fate.set)
