"""Where is somebody qualified asked for, and how does a lead say who is?"""

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.kit.words import label
from travelers.shop import queries
from travelers.shop.actions import ask_for_skill, qualify, stop_asking
from travelers.shop.forms import AskForm, WhoMayForm
from travelers.shop.rules import SKILL_KEEPERS, Work

if TYPE_CHECKING:
    from travelers.shop.models import Stage


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*SKILL_KEEPERS)
def skills(request: HttpRequest) -> HttpResponse:
    """List where somebody qualified is asked for; ask for one more kind of work."""
    form = AskForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        stage, kind = form.cleaned_data["stage"], form.cleaned_data["kind"]
        ask_for_skill(stage=_stage(stage), kind=Work(kind), by=person_of(request))
        return redirect("shop:skill", stage, kind)
    page = queries.needs(on=timezone.localdate())
    status = 422 if form.is_bound else 200
    return show(request, "shop/skills.html", page, status=status, form=form)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*SKILL_KEEPERS)
def skill(request: HttpRequest, stage: str, kind: str) -> HttpResponse:
    """Show who may do a kind of work, and change it."""
    page = queries.find_need(stage=stage, kind=kind, on=timezone.localdate())
    if page is None:
        raise Refused(NOT_FOUND)
    typed = request.POST if request.method == "POST" else None
    form = WhoMayForm(typed, people=page.people)
    if not form.is_bound or not form.is_valid():
        status = 422 if form.is_bound else 200
        return show(request, "shop/skill.html", page, status=status, form=form)
    given, taken = form.decided()
    people = queries.people_named(usernames=[*given, *taken])
    qualify(
        stage=_stage(stage),
        kind=page.need.kind,
        given={people[name]: until for name, until in given.items()},
        taken=[people[name] for name in taken],
        by=person_of(request),
        at=timezone.now(),
    )
    messages.success(request, gettext("It counts from the next scan on."))
    return redirect("shop:skills")


@require_POST
@for_roles(*SKILL_KEEPERS)
def skill_stop(request: HttpRequest, stage: str, kind: str) -> HttpResponse:
    """Ask for nobody qualified any more."""
    found = queries.find_need(stage=stage, kind=kind, on=timezone.localdate())
    if found is None:
        raise Refused(NOT_FOUND)
    stop_asking(stage=_stage(stage), kind=found.need.kind, by=person_of(request))
    said = gettext("{stage}, {kind}: anybody may do it now.")
    messages.success(
        request,
        said.format(stage=found.need.stage, kind=label(found.need.kind)),
    )
    return redirect("shop:skills")


def _stage(code: str) -> "Stage":
    found = queries.find_stage(code=code)
    if found is None:
        raise Refused(NOT_FOUND)
    return found
