"""How is what a station's tablet takes along told, drawings and words included?"""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.utils.translation import get_language
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_safe

from travelers.floor import queries as on_floor
from travelers.floor.forms import without_nul
from travelers.floor.rules.facts import Place
from travelers.floor.rules.materials import AtHand
from travelers.floor.templatetags.floor import reason, wanted
from travelers.kit import words
from travelers.kit.drawing.outlines import SHAPES
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.kit.templatetags import drawing
from travelers.outbox import queries
from travelers.outbox.queries import Due
from travelers.outbox.queries.build import build
from travelers.outbox.queries.due import PartDue, StepDue, outline_of
from travelers.outbox.views.doors import let_in, tell_time
from travelers.routes.rules import Check, CheckKind, Line
from travelers.shop.passes import pass_of

SIGN_SIZE = 64


@login_not_required
@require_safe
@ensure_csrf_cookie
def due(request: HttpRequest, code: str) -> HttpResponse:
    """Tell what is due here, if anything has changed since it was told last.

    With the hour it is told afresh in any case: the order of the parts goes by
    time, and so does the pass that comes with it.
    """
    let_in(request)
    place = on_floor.find_place(code=without_nul(code))
    if place is None:
        raise Refused(NOT_FOUND)
    at = timezone.now()
    seen = f"{on_floor.pulse()}.{on_floor.batches_pulse(station_id=place.id)}"
    mark = f'"{seen}-{at:%j%H}-{request.user.pk}-{get_language()}"'
    if request.headers.get("If-None-Match") == mark:
        return tell_time(HttpResponse(status=304, headers=_marked(mark)))
    told = _told(queries.due(place=place, at=at), at)
    told |= {"person": request.user.pk, "pass": pass_of(request)}
    response = JsonResponse(told, headers=_marked(mark))
    return tell_time(response)


def _marked(mark: str) -> dict[str, str]:
    """Say which state of things this is, and of which build a page should be."""
    return {"ETag": mark, "Shop-Build": build()}


def _told(found: Due, at: datetime) -> dict[str, Any]:
    lines = {s.line.id: s.line for part in found.parts for s in part.steps}
    checks = {check.id: check for line in lines.values() for check in line.checks}
    signs = {one.sign for line in lines.values() for one in line.hazards}
    return {
        "at": at.isoformat(),
        "station": _place(found.place),
        "parts": [_part(part) for part in found.parts],
        "lines": {line.id: _line(line) for line in lines.values()},
        "checks": {check.id: _check(check) for check in checks.values()},
        "signs": {code: drawing.sign(code, SIGN_SIZE) for code in sorted(signs)},
        "pictures": _pictures(found.parts),
        "gauges": [
            {
                "id": one.id,
                "name": one.name,
                "kind": one.kind,
                "tag": one.tag,
                "overdue": one.overdue,
            }
            for one in found.gauges
        ],
        "batches": [_batch(one, timezone.localdate(at)) for one in found.batches],
        "chosen": {one.material_id: one.code for one in found.chosen},
        "kinds": found.kinds,
        "undo": round(settings.UNDO_WITHIN.total_seconds()),
    }


def _batch(one: AtHand, today: date) -> dict[str, Any]:
    return {
        "code": one.code,
        "number": one.number,
        "material": one.material_id,
        "name": one.material,
        "held": one.held is not None,
        "over": one.is_over(today),
    }


def _place(place: Place) -> dict[str, Any]:
    return {
        "code": place.code,
        "name": place.name,
        "attended": place.attended,
        "places": place.places,
        "free": place.places_free,
    }


def _part(part: PartDue) -> dict[str, Any]:
    row = part.row
    return {
        "code": row.code,
        "own": part.own_tag,
        "serial": row.serial,
        "model": row.model,
        "finish": row.finish,
        "branch": row.branch,
        "branchWord": words.label(row.branch),
        "outline": f"{outline_of(row.branch)} {part.bench.about.shape}"
        if part.bench.about
        else "",
        "held": part.held,
        "why": reason(row) if row.can_be_taken else "",
        "wanted": wanted(row) if row.why and row.can_be_taken else "",
        "mates": [
            {"code": code, "words": " ".join(map(words.label, said.split(" ")))}
            for code, said in part.mates
        ],
        "steps": [_step(step, part) for step in part.steps],
    }


def _step(due_: StepDue, part: PartDue) -> dict[str, Any]:
    step, notes, shape = due_.step, due_.notes, part.bench.about
    drawn = due_.line.picture and shape and shape.shape in SHAPES
    return {
        "id": step.id,
        "line": due_.line.id,
        "title": due_.title,
        "repeat": step.repeat,
        "state": step.state,
        "picture": f"{due_.line.picture} {shape.shape}" if drawn and shape else "",
        "readyAt": _moment(step.ready_at),
        "until": _moment(step.dwell_until),
        "checks": [check.id for check in due_.checks],
        "readings": {
            f"{check}/{place}": {"value": taken.value, "inside": taken.inside}
            for (check, place), taken in notes.readings.items()
        },
        "scanned": sorted(notes.mates),
        "serials": {need: list(taken) for need, taken in notes.serials.items()},
        "passes": sorted(notes.passes),
    }


def _line(line: Line) -> dict[str, Any]:
    return {
        "kind": line.kind,
        "joins": line.joins,
        "batches": [
            {"material": need.material_id, "name": need.material}
            for need in line.batches
        ],
        "serials": [
            {"id": need.id, "name": need.material, "pieces": need.pieces}
            for need in line.serials
        ],
        "instruction": line.instruction,
        "hazards": [{"sign": one.sign, "words": one.sentence} for one in line.hazards],
        "dwell": _seconds(line.shortest_dwell),
        "gap": _seconds(line.longest_gap),
        "rest": _seconds(line.shortest_between),
        "longest": _seconds(line.longest_between),
    }


def _check(check: Check) -> dict[str, Any]:
    lower, nominal, upper = (
        None if end is None else float(end)
        for end in (check.lower, check.nominal, check.upper)
    )
    bar = any(end is not None for end in (lower, nominal, upper))
    return {
        "name": check.name,
        "kind": check.kind,
        "unit": check.unit,
        "lower": lower,
        "upper": upper,
        "places": check.places,
        "placeName": check.place_name,
        "gaugeKind": check.gauge_kind,
        "minus": any(end is not None and end < 0 for end in (lower, nominal, upper)),
        "bar": drawing.limit_bar(
            None, lower, nominal, upper, check.unit, check.decimals
        )
        if bar and check.kind is not CheckKind.JUDGED
        else "",
    }


def _pictures(parts: Iterable[PartDue]) -> dict[str, str]:
    """Draw each outline once: of the parts, and of what their instructions show."""
    wanted = {
        (name, part.bench.about.shape)
        for part in parts
        if part.bench.about and part.bench.about.shape in SHAPES
        for name in (
            outline_of(part.row.branch),
            *(step.line.picture for step in part.steps),
        )
        if name
    }
    return {
        f"{name} {shape}": drawing.outline(name, shape)
        for name, shape in sorted(wanted)
    }


def _moment(at: datetime | None) -> str | None:
    return at.isoformat() if at else None


def _seconds(span: timedelta | None) -> float | None:
    return None if span is None else span.total_seconds()
