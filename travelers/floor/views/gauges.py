"""Which gauge is at hand at a station, and may the one that was scanned be?"""

from datetime import datetime

from django.http import HttpRequest
from django.utils import formats, timezone
from django.utils.translation import gettext

from travelers.floor.queries import CheckScene
from travelers.floor.rules import reasons
from travelers.floor.rules.facts import Place
from travelers.floor.rules.gauges import gauge_out
from travelers.floor.views import answers
from travelers.floor.views.answers import Answer
from travelers.kit.drawing.answers import Answer as Shape
from travelers.kit.refusals import NOT_FOUND, Refusal, Refused
from travelers.shop.queries import GaugeRow, find_gauge, overdue_gauges
from travelers.shop.rules import OverdueGauges


def remembered_gauges(request: HttpRequest, place: Place) -> dict[str, int]:
    """Give the gauge of each kind that is at hand at this station."""
    gauges: dict[str, dict[str, int]] = request.session.get("gauges", {})
    return gauges.get(place.code, {})


def remember_gauge(
    request: HttpRequest, place: Place, kind: str, gauge_id: int
) -> None:
    """Keep a gauge at hand; the session is written only on a change."""
    known = remembered_gauges(request, place)
    if known.get(kind) == gauge_id:
        return
    gauges = request.session.get("gauges", {})
    request.session["gauges"] = {**gauges, place.code: {**known, kind: gauge_id}}


def choose(
    request: HttpRequest,
    place: Place,
    gauge_id: int,
    at: datetime,
    check: CheckScene | None,
) -> Answer:
    """Take a scanned gauge to hand for all checks of its kind, or say why not."""
    gauge = find_gauge(gauge_id=gauge_id, today=timezone.localdate(at))
    if gauge is None:
        raise Refused(NOT_FOUND)
    refusal = _other_kind(gauge, check) or _out(gauge, at)
    if refusal:
        return answers.refused(refusal)
    remember_gauge(request, place, gauge.kind, gauge.id)
    due = formats.date_format(gauge.due_on, "j F Y")
    if gauge.bad_since:
        said = gettext("{gauge} is at hand, found bad: what it reads is marked.")
        return Answer(Shape.LOOK, gettext("Look"), said.format(gauge=gauge.name))
    if gauge.overdue:
        said = gettext(
            "{gauge} is at hand, overdue since {due}: what it reads is marked."
        )
        return Answer(
            Shape.LOOK, gettext("Look"), said.format(gauge=gauge.name, due=due)
        )
    said = gettext("{gauge} is at hand for all its checks, due {due}.")
    return Answer(
        Shape.ACCEPTED, gettext("At hand"), said.format(gauge=gauge.name, due=due)
    )


def _other_kind(gauge: GaugeRow, check: CheckScene | None) -> Refusal | None:
    wanted = check.check.gauge_kind if check else ""
    if not check or not wanted or wanted == gauge.kind:
        return None
    return reasons.GAUGE_OTHER_KIND.about(
        gauge=gauge.name,
        kind=gauge.kind_words,
        check=check.check.name,
        wanted=check.kind_words,
    )


def _out(gauge: GaugeRow, at: datetime) -> Refusal | None:
    if not gauge.overdue or overdue_gauges() is OverdueGauges.MARK:
        return None
    return gauge_out(gauge.name, gauge.due_on, gauge.bad_since, at)
