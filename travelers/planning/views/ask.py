"""How is a day found for a new order, and promised?"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from travelers.kit.pages import show
from travelers.kit.people import for_roles, has_one_of, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_FOUND, Refused
from travelers.orders.queries import ORDER_KEEPERS
from travelers.planning.actions import digest_of, promise_order
from travelers.planning.forms import AcceptForm, AskForm, signed, unsigned
from travelers.planning.queries.forecast import FIRST, FORECASTERS, WHOLE, not_compiled
from travelers.planning.queries.release import (
    Answer,
    answer,
    asked,
    days_to_promise,
    kept_promises,
)
from travelers.routes import queries as routes

SEED = 1


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(*FORECASTERS)
def ask(request: HttpRequest) -> HttpResponse:
    """Ask for a day: the address says for what, a post lives through futures.

    The first answer is of few futures; ``all`` asks for all of them.
    """
    is_asked = bool(request.GET) or request.method == "POST"
    form = AskForm(
        request.GET if is_asked else None,
        buildable=routes.buildable(),
        today=timezone.localdate(),
        initial={"certainty_pct": asked(at=timezone.now()).certainty_pct},
    )
    zone = timezone.get_default_timezone()
    found, told = None, None
    if form.is_valid() and request.method == "POST":
        if fault := not_compiled():
            raise Refused(fault)
        found = answer(
            wish=form.wish(),
            at=timezone.now(),
            zone=zone,
            seed=SEED,
            futures=WHOLE if "all" in request.GET else FIRST,
        )
        told = _told(found) if found.by else None
    wrong = bool(form.errors)
    return show(
        request,
        "planning/ask.html",
        found,
        parts=("answer",),
        status=FORM_WRONG.status if wrong else 200,
        form=form,
        accept=_accept(told) if told else None,
        asked=request.GET.urlencode() if form.is_bound and not wrong else "",
        is_whole="all" in request.GET,
        may_accept=has_one_of(request.user, ORDER_KEEPERS),
        promises=kept_promises(zone=zone),
        fault=not_compiled(),
    )


@require_POST
@for_roles(*ORDER_KEEPERS)
def accept(request: HttpRequest) -> HttpResponse:
    """Make the order that was asked for, and keep what was promised."""
    told = unsigned(request.POST.get("answer", ""))
    if told is None:
        raise Refused(NOT_FOUND)
    form = _accept(told, request.POST)
    if form.is_valid():
        made = promise_order(
            answer=told,
            **form.promised(),
            by=person_of(request),
            at=timezone.now(),
        )
        said = _("The order is made and promised by {day}; it wants its wood now.")
        messages.success(request, said.format(day=_day(made.promised_on)))
        return redirect("orders:order", made.order.number)
    return show(
        request, "planning/accept.html", told, accept=form, status=FORM_WRONG.status
    )


def _told(found: Answer) -> dict[str, Any]:
    """Write down what was answered, as it is sealed."""
    wish = found.wish
    return {
        "model_id": wish.model_id,
        "finish": wish.finish,
        "quantity": wish.quantity,
        "wished_on": wish.wished_on.isoformat(),
        "asked_at": found.at.isoformat(),
        "seed": found.seed,
        "futures": found.futures,
        "digest": digest_of(line=found.line),
        "by_on": [one.isoformat() for one in found.by or ()],
        "days": [(pct, one.isoformat()) for pct, one in days_to_promise(answer=found)],
        "sure_on": found.sure.isoformat() if found.sure else "",
    }


def _accept(told: dict[str, Any], posted: Any = None) -> AcceptForm:
    usual = (
        told["wished_on"] if told["wished_on"] >= told["sure_on"] else told["sure_on"]
    )
    return AcceptForm(
        posted,
        told=told,
        days=_choices(told["days"]),
        initial={"answer": signed(told), "by": usual, "priority": 5},
    )


def _choices(days: Sequence[tuple[int, str]]) -> list[tuple[str, str]]:
    """Name each day once, with the highest certainty that it has."""
    sure: dict[str, int] = {}
    for pct, day in days:
        sure[day] = max(pct, sure.get(day, 0))
    said = _("{day}, in {pct} of 100 cases")
    return [
        (day, said.format(day=_day(date.fromisoformat(day)), pct=pct))
        for day, pct in sure.items()
    ]


def _day(day: date) -> str:
    return date_format(day, "j M Y")
