"""How is shown what is released when, and how is it released from there?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from travelers.kit.pages import show, wants_piece
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import FORM_WRONG
from travelers.orders.queries import ORDER_KEEPERS
from travelers.planning.actions import (
    Released,
    make_release_plan,
    release_chosen,
    set_release_rules,
)
from travelers.planning.documents import (
    FillWords,
    StartsWords,
    fill_chart,
    starts_chart,
)
from travelers.planning.forms import RulesForm, chosen_of
from travelers.planning.queries.forecast import FIRST, FORECASTERS
from travelers.planning.queries.release import ReleasePage, release_page

SEED = 1
# What was refused while others were released.
SOME_REFUSED = 409


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*FORECASTERS)
def release(request: HttpRequest) -> HttpResponse:
    """Show the plan; a post plans afresh, first in few futures and then in all."""
    if request.method == "POST":
        known = _page(request).known
        make_release_plan(
            at=timezone.now(),
            seed=SEED,
            futures=known.next_futures if known else FIRST,
            zone=timezone.get_default_timezone(),
        )
        if not wants_piece(request):
            return redirect("release:release")
    return _shown(request)


@require_POST
@for_roles(*ORDER_KEEPERS)
def rules(request: HttpRequest) -> HttpResponse:
    """Say how sure a plan shall be, and how much may be in work."""
    form = RulesForm(request.POST)
    if not form.is_valid():
        return _shown(request, form=form, status=FORM_WRONG.status)
    set_release_rules(**form.cleaned_data, by=person_of(request), at=timezone.now())
    return redirect("release:release")


@require_POST
@for_roles(*ORDER_KEEPERS)
def release_now(request: HttpRequest) -> HttpResponse:
    """Release what was chosen; what was refused is listed with what to do."""
    done = release_chosen(
        chosen=chosen_of(request.POST), by=person_of(request), at=timezone.now()
    )
    for one in done:
        if one.refusal is None:
            messages.success(request, _said(one))
    refused = [one for one in done if one.refusal]
    if not refused:
        return redirect("release:release")
    ticked = {one.order for one in refused}
    return _shown(request, refused=refused, ticked=ticked, status=SOME_REFUSED)


@require_safe
@for_roles(*FORECASTERS)
def starts(request: HttpRequest) -> HttpResponse:
    """Draw when each order starts and ends; ``dark`` asks for the colours of night."""
    page = _page(request)
    drawn = starts_chart(
        rows=page.rows,
        today=page.today,
        dark="dark" in request.GET,
        words=StartsWords(
            title=_("When each order is released and finished"),
            latest=_("latest start"),
            release=_("planned release"),
            due=_("due"),
            today=_("today"),
        ),
    )
    return HttpResponse(drawn, content_type="image/svg+xml")


@require_safe
@for_roles(*FORECASTERS)
def fill(request: HttpRequest) -> HttpResponse:
    """Draw how full floor and rooms will be; ``dark`` asks for the colours of night."""
    page = _page(request)
    drawn = fill_chart(
        weeks=page.weeks,
        rooms=page.rooms,
        most=page.asked.most,
        dark="dark" in request.GET,
        words=FillWords(
            title=_("In work and in the drying rooms, week by week"),
            in_work=_("Instruments in work"),
            room=_("{room}: parts in it"),
            limit=_("limit: {n}"),
            places=_("{n} places"),
        ),
    )
    return HttpResponse(drawn, content_type="image/svg+xml")


def _page(request: HttpRequest) -> ReleasePage:
    return release_page(
        at=timezone.now(),
        zone=timezone.get_default_timezone(),
        by=person_of(request),
    )


def _shown(
    request: HttpRequest,
    *,
    form: RulesForm | None = None,
    refused: list[Released] | None = None,
    ticked: set[str] | None = None,
    status: int = 200,
) -> HttpResponse:
    page = _page(request)
    usual = {
        "certainty_pct": page.asked.certainty_pct,
        "most_in_work": page.asked.most if page.asked.is_set else None,
    }
    return show(
        request,
        "planning/release.html",
        page,
        parts=("plan",),
        form=form or RulesForm(initial=usual),
        refused=refused or [],
        ticked=ticked or set(),
        status=status,
    )


def _said(one: Released) -> str:
    said = ngettext(
        "{order}: {n} instrument is on the floor.",
        "{order}: {n} instruments are on the floor.",
        one.instruments,
    )
    return said.format(order=one.order, n=one.instruments)
