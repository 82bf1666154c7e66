"""Through which door does a tablet come: a session, or its own token?"""

from typing import TYPE_CHECKING

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from travelers.kit.people import has_one_of
from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.outbox.rules import NOT_LET_IN
from travelers.shop.rules import EVERYBODY
from travelers.shop.sessions import tablet_of

if TYPE_CHECKING:
    from travelers.shop.models import Tablet

# The server's clock, so that a tablet knows how far its own is off.
CLOCK = "Shop-Time"


def let_in(request: HttpRequest) -> "Tablet | None":
    """Let in whoever is signed in for some work, or else a tablet of the shop."""
    if request.user.is_authenticated:
        if not has_one_of(request.user, EVERYBODY):
            raise Refused(NOT_YOUR_ROLE)
        return None
    tablet = tablet_of(request)
    if tablet is None:
        raise Refused(NOT_LET_IN)
    return tablet


def tell_time(response: HttpResponse) -> HttpResponse:
    """Say in milliseconds what time it is here, as the answer leaves."""
    response.headers[CLOCK] = str(round(timezone.now().timestamp() * 1000))
    response.headers["Cache-Control"] = "no-store"
    return response
