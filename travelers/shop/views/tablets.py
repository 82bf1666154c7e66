"""How is a tablet let in at a station, listed, and put out?"""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.contrib import auth, messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import NOT_FOUND, Refusal, Refused
from travelers.shop import queries
from travelers.shop.actions import Invited, enrol_tablet, invite_tablet, revoke_tablet
from travelers.shop.forms import EnrolForm, InviteForm
from travelers.shop.queries import Certificate, TabletRow
from travelers.shop.rules import TABLET_REVOKED, Role
from travelers.shop.sessions import TABLET_COOKIE, set_cookie, tablet_of

# As long as browsers keep any cookie (draft-ietf-httpbis-rfc6265bis: 400 days).
LONGEST_KEPT_S = 400 * 24 * 3600


@dataclass(frozen=True, slots=True)
class TabletsPage:
    """The tablets, and the code that was just made: it is shown this once.

    ``certificate`` is what they find at the shop's address; None at a plain one.
    """

    rows: tuple[TabletRow, ...]
    form: InviteForm
    address: str
    invited: Invited | None
    certificate: Certificate | None
    at: datetime

    @property
    def is_short(self) -> bool:
        """Say whether the certificate runs out soon, or cannot be seen at all."""
        return self.certificate is not None and self.certificate.is_short(self.at)

    @property
    def days_left(self) -> int:
        return self.certificate.days_left(self.at) if self.certificate else 0

    @property
    def link(self) -> str:
        """Give what the symbol carries: behind the mark no server gets to see it."""
        return f"{self.address}#{self.invited.code if self.invited else ''}"


@dataclass(frozen=True, slots=True)
class TabletPage:
    """A browser that wants to be let in, or is already."""

    form: EnrolForm
    name: str = ""
    station: str = ""
    refusal: Refusal | None = None


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(Role.LEAD)
def tablets(request: HttpRequest) -> HttpResponse:
    """List the tablets; make a code for one more."""
    form = InviteForm(request.POST if request.method == "POST" else None)
    invited, status, at = None, 200, timezone.now()
    if form.is_bound and form.is_valid():
        invited = invite_tablet(
            station=queries.get_station(code=form.cleaned_data["station"]),
            by=person_of(request),
            at=at,
        )
    elif form.is_bound:
        status = 422
    # Where the lead's own browser finds the shop the tablet finds it too.
    address = request.build_absolute_uri(reverse("shop:tablet"))
    certificate = queries.find_certificate(origin=settings.PUBLIC_ORIGIN)
    rows = queries.tablets()
    page = TabletsPage(rows, form, address, invited, certificate, at)
    return show(request, "shop/tablets.html", page, status=status)


@require_POST
@for_roles(Role.LEAD)
def tablet_revoke(request: HttpRequest, number: int) -> HttpResponse:
    """Put a tablet out, at once."""
    found = queries.find_tablet(tablet_id=number)
    if found is None:
        raise Refused(NOT_FOUND)
    revoke_tablet(tablet=found, by=person_of(request), at=timezone.now())
    said = gettext("{tablet} is put out and opens nothing more.")
    messages.success(request, said.format(tablet=found.name))
    return redirect("shop:tablets")


@login_not_required
@sensitive_post_parameters("code")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def tablet(request: HttpRequest) -> HttpResponse:
    """Let this browser in by the lead's code, and have it keep its token.

    Guessing is hopeless: a code is one of 2 to the 40 and lives for minutes.
    """
    form = EnrolForm(request.POST if request.method == "POST" else None)
    former = tablet_of(request)
    if not form.is_bound or not form.is_valid():
        return _show(request, form, status=422 if form.is_bound else 200)
    answer = enrol_tablet(former=former, at=timezone.now(), **form.cleaned_data)
    if isinstance(answer, Refusal):
        return _show(request, form, refusal=answer, status=answer.status)
    # Whoever was signed in here was so at a desk, or at another station.
    auth.logout(request)
    station = reverse("floor:station", args=[answer.tablet.station.code])
    response = HttpResponseRedirect(station)
    set_cookie(request, response, TABLET_COOKIE, answer.token, max_age=LONGEST_KEPT_S)
    return response


def _show(
    request: HttpRequest,
    form: EnrolForm,
    *,
    refusal: Refusal | None = None,
    status: int = 200,
) -> HttpResponse:
    known = tablet_of(request)
    page = TabletPage(
        form, known.name if known else "", known.station.name if known else "", refusal
    )
    return show(request, "shop/tablet.html", page, status=status)


def not_let_in(request: HttpRequest) -> HttpResponse:
    """Say to a tablet that was put out what to do, and let it forget its token."""
    response = _show(
        request, EnrolForm(), refusal=TABLET_REVOKED, status=TABLET_REVOKED.status
    )
    response.delete_cookie(TABLET_COOKIE, samesite="Lax")
    return response
