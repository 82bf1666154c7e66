"""How is the flow shown, and what stands behind its figures?"""

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from travelers.kit.pages import show
from travelers.kit.people import for_roles
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.kit.words import label
from travelers.planning import queries
from travelers.planning.actions import count_days
from travelers.planning.documents import (
    AgesWords,
    CourseWords,
    WeeksWords,
    ages_chart,
    course_chart,
    weeks_chart,
)
from travelers.planning.forms import FlowForm
from travelers.planning.queries import FlowAsked, FlowDays
from travelers.shop.rules import EVERYBODY


def _asked(request: HttpRequest) -> FlowAsked:
    """Read what is asked, and count the days that closed since it was asked last."""
    now, zone = timezone.now(), timezone.get_default_timezone()
    count_days(at=now, zone=zone)
    return FlowForm(request.GET).asked(at=now, zone=zone)


def _listed(request: HttpRequest) -> tuple[FlowAsked, FlowDays]:
    """Read of which days a list is asked."""
    form = FlowForm(request.GET)
    asked = form.asked(at=timezone.now(), zone=timezone.get_default_timezone())
    return asked, form.listed(asked=asked)


@require_safe
@for_roles(*EVERYBODY)
def flow(request: HttpRequest) -> HttpResponse:
    """Show the flow over some days; counts first what closed since the last time."""
    page = queries.flow_page(asked=_asked(request))
    return show(request, "planning/flow.html", page)


@require_safe
@for_roles(*EVERYBODY)
def course(request: HttpRequest) -> HttpResponse:
    """Draw what lay at which stage day by day; ``dark`` is for the night."""
    asked = _asked(request)
    title = _("Instruments by stage, as each day ended")
    if asked.of:
        title = _("Parts by stage, as each day ended: {branch}").format(
            branch=label(asked.of)
        )
    counted = _("Parts") if asked.of else _("Instruments")
    words = CourseWords(title=title, counted=counted, gone=_("Gone"))
    drawn = course_chart(
        course=queries.flow_course(asked=asked),
        words=words,
        dark="dark" in request.GET,
    )
    return HttpResponse(drawn, content_type="image/svg+xml")


@require_safe
@for_roles(*EVERYBODY)
def weeks(request: HttpRequest) -> HttpResponse:
    """Draw what came and was finished by weeks."""
    words = WeeksWords(
        title=_("Instruments finished (bars) and released (strokes) a week"),
        counted=_("Instruments"),
    )
    drawn = weeks_chart(
        weeks=queries.flow_weeks(asked=_asked(request)),
        words=words,
        dark="dark" in request.GET,
    )
    return HttpResponse(drawn, content_type="image/svg+xml")


@require_safe
@for_roles(*EVERYBODY)
def ages(request: HttpRequest) -> HttpResponse:
    """Draw how old is what is open."""
    asked, _days = _listed(request)
    words = AgesWords(
        title=_("Age of the instruments on the floor, by stage"),
        days=_("Days since release"),
        of_100=_("{pct} of 100 took less"),
    )
    drawn = ages_chart(
        ages=queries.flow_ages(asked=asked), words=words, dark="dark" in request.GET
    )
    return HttpResponse(drawn, content_type="image/svg+xml")


@require_safe
@for_roles(*EVERYBODY)
def still_open(request: HttpRequest) -> HttpResponse:
    asked, _days = _listed(request)
    page = queries.flow_ages(asked=asked)
    return show(request, "planning/flow_open.html", page)


@require_safe
@for_roles(*EVERYBODY)
def closed(request: HttpRequest) -> HttpResponse:
    asked, days = _listed(request)
    page = queries.closed_page(days=days, asked=asked)
    return show(request, "planning/flow_closed.html", page)


@require_safe
@for_roles(*EVERYBODY)
def waits(request: HttpRequest, stage: str) -> HttpResponse:
    asked, days = _listed(request)
    page = queries.waits_page(stage=stage, days=days, asked=asked)
    return show(request, "planning/flow_waits.html", page)


@require_safe
@for_roles(*EVERYBODY)
def passed(request: HttpRequest, stage: str) -> HttpResponse:
    asked, days = _listed(request)
    page = queries.passed_page(
        stage=stage, model=request.GET.get("model", ""), days=days, asked=asked
    )
    return show(request, "planning/flow_passed.html", page)


@require_safe
@for_roles(*EVERYBODY)
def released(request: HttpRequest) -> HttpResponse:
    asked, days = _listed(request)
    page = queries.released_page(days=days, asked=asked)
    return show(request, "planning/flow_released.html", page)


@require_safe
@for_roles(*EVERYBODY)
def day(request: HttpRequest, day: str, stage: str = "") -> HttpResponse:
    """List what lay at a stage, or all, as a day ended, what came and what went."""
    asked, _days = _listed(request)
    try:
        on = date.fromisoformat(day)
    except ValueError as fault:
        raise Refused(NOT_FOUND) from fault
    page = queries.day_page(day=on, stage=stage, asked=asked)
    return show(request, "planning/flow_day.html", page)
