"""How does a person sign in and out, at a desk and at a tablet?"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from travelers.kit.pages import show
from travelers.kit.people import at_tablets, for_roles
from travelers.kit.refusals import Refusal
from travelers.shop.actions import who_is
from travelers.shop.forms import WhoForm
from travelers.shop.rules import EVERYBODY, NOT_A_BADGE, read_badge
from travelers.shop.sessions import (
    TABLET_COOKIE,
    begin,
    end_after_a_day_at_work,
    hear,
    tablet_of,
)
from travelers.shop.signing import note_password
from travelers.shop.views.tablets import not_let_in

if TYPE_CHECKING:
    from travelers.shop.models import Tablet

desk = LoginView.as_view(template_name="kit/signin.html")
# Signing out is a POST, says Django, and ends the session at the server.
sign_out = at_tablets()(LogoutView.as_view())


@dataclass(frozen=True, slots=True)
class BenchSignIn:
    """A tablet at which nobody is signed in, with what was just refused."""

    station: str
    tablet: str
    next: str
    number: str = ""
    refusal: Refusal | None = None


@login_not_required
@sensitive_post_parameters("password", "pin", "badge")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Ask for a badge or a PIN at a tablet, for name and password at a desk.

    A PIN or badge that comes from no tablet is answered as a wrong one is.
    """
    tablet = tablet_of(request)
    asked = "number" in request.POST or "badge" in request.POST
    if tablet is None and TABLET_COOKIE in request.COOKIES:
        return not_let_in(request)
    if tablet is None and not asked:
        return _at_desk(request)
    if request.method == "POST":
        return _at_tablet(request, tablet)
    hear(tablet)
    return _ask(request, tablet)


def _at_desk(request: HttpRequest) -> HttpResponse:
    answer = cast("HttpResponse", desk(request))
    if (
        request.method == "POST"
        and answer.status_code == HttpResponseRedirect.status_code
    ):
        at = timezone.now()
        end_after_a_day_at_work(request, at)
        note_password(request, at)
    return answer


def _at_tablet(request: HttpRequest, tablet: "Tablet | None") -> HttpResponse:
    """Sign in whoever is known; the session gets a new key each time."""
    shown, at = WhoForm(request.POST).shown(), timezone.now()
    if tablet and shown["badge"] and not read_badge(shown["badge"]):
        return _ask(
            request, tablet, refusal=NOT_A_BADGE.about(code=shown["badge"][:40])
        )
    answer = who_is(tablet=tablet, at=at, **shown)
    if isinstance(answer, Refusal):
        return _ask(request, tablet, number=shown["number"], refusal=answer)
    begin(request, person=answer, tablet=tablet, at=at)
    return HttpResponseRedirect(_onward(request, tablet))


def _ask(
    request: HttpRequest,
    tablet: "Tablet | None",
    *,
    number: str = "",
    refusal: Refusal | None = None,
) -> HttpResponse:
    page = BenchSignIn(
        station=tablet.station.name if tablet else "",
        tablet=tablet.name if tablet else "",
        next=_onward(request, tablet),
        number=number[:4],
        refusal=refusal,
    )
    status = refusal.status if refusal else 200
    response = show(request, "shop/bench_sign_in.html", page, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


def _onward(request: HttpRequest, tablet: "Tablet | None") -> str:
    """Say where to go after: where one was at this station, or to its lists."""
    home = reverse("floor:station", args=[tablet.station.code]) if tablet else "/"
    asked = request.POST.get("next") or request.GET.get("next") or home
    is_ours = url_has_allowed_host_and_scheme(
        asked, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return asked if is_ours and asked.startswith(home) else home


@require_POST
@at_tablets()
@for_roles(*EVERYBODY)
def here(request: HttpRequest) -> HttpResponse:
    """Hear that somebody is still there; the answer carries the moment."""
    return HttpResponse(status=204)
