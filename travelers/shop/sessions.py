"""Who is signed in, at which tablet, and how far does that reach?

Asked by every request, so it is one question, made once.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from http import HTTPStatus
from typing import Any, NamedTuple, cast

from django.conf import settings
from django.contrib import auth
from django.contrib.auth.middleware import AuthenticationMiddleware
from django.contrib.auth.models import AnonymousUser
from django.contrib.sessions.backends.db import SessionStore as DatabaseSessions
from django.core import signing
from django.db import connection
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.utils.functional import SimpleLazyObject

from travelers.kit.middleware import answer
from travelers.kit.refusals import Refusal
from travelers.kit.rows import MARK_TEXT, OftenAsked
from travelers.shop.models import Person, Session, Tablet
from travelers.shop.rules import (
    GRACE,
    HEARD_EVERY,
    NOT_AT_TABLETS,
    OTHER_STATION,
    digest_of,
)

# The cookie in which a tablet shows that it was let in.
TABLET_COOKIE = "tablet"
# Under which a session says on which tablet it was begun.
TABLET_KEY = "tablet"
# The cookie that says when somebody last did something at a tablet.  Signed for one
# session, so that no request need write when it came.
HEARD_COOKIE = "heard"
# Said by a page that asks for news by itself: nobody need be there.
BY_ITSELF = "X-Shop-By-Itself"
NAMES = [field.attname for field in Person._meta.concrete_fields]
PLACE = (
    "tablet_id",
    "tablet__name",
    "tablet__station__code",
    "tablet__station__tag",
    "tablet__station__name",
    "tablet__heard_at",
    "tablet__revoked_at",
)
_signed_in = OftenAsked(
    lambda key: Session.objects.filter(session_key=key).values_list(
        "session_data", "expire_date", *PLACE, *(f"person__{n}" for n in NAMES)
    ),
    MARK_TEXT,
)


@dataclass(frozen=True, slots=True)
class TabletHere:
    """The tablet on which the session was begun, and its station."""

    id: int
    name: str
    station: str
    station_tag: str
    station_name: str
    heard_at: datetime | None

    @property
    def idle_s(self) -> int:
        return int(settings.IDLE_SIGN_OUT_S)


class Kept(NamedTuple):
    """What a session's row says of what was kept in it."""

    session_data: str


class SessionStore(DatabaseSessions):
    """Django's sessions in the database, each read with its person and tablet."""

    person_row: tuple[Any, ...] | None = None
    tablet: TabletHere | None = None

    def _get_session_from_db(self) -> Session | None:
        key = self.session_key or ""
        rows = _signed_in(key)
        now = timezone.now()  # noqa: TID251 - a session ends by the clock
        if not rows or rows[0][1] <= now or rows[0][1 + len(PLACE)] is not None:
            self._session_key = None
            return None
        data, _, *rest = rows[0]
        place, person = rest[: len(PLACE) - 1], rest[len(PLACE) :]
        self.person_row = tuple(person) if person[0] is not None else None
        self.tablet = TabletHere(*place) if place[0] is not None else None
        # Only its data is read of what this gives (``load``), and a row costs more.
        return cast("Session", Kept(data))

    def create_model_instance(self, data: dict[str, Any]) -> Session:
        session = cast("Session", super().create_model_instance(data))
        if auth.SESSION_KEY in data:
            session.person_id = int(data[auth.SESSION_KEY])
        session.tablet_id = data.get(TABLET_KEY)
        return session

    @classmethod
    def get_model_class(cls) -> type[Session]:
        return Session


class SignedIn(AuthenticationMiddleware):
    """Django's, but for one question less, and with what a tablet may open."""

    def process_request(self, request: HttpRequest) -> None:
        request.user = SimpleLazyObject(lambda: _person(request))  # type: ignore[assignment]

    def process_view(
        self,
        request: HttpRequest,
        view: Callable[..., HttpResponse],
        args: tuple[Any, ...],
        named: dict[str, Any],
    ) -> HttpResponse | None:
        """Keep a session that was begun on a tablet to its station's screens."""
        if not getattr(view, "login_required", True):
            return None
        here = tablet_here(request) if request.user.is_authenticated else None
        if here is None:
            return None
        refusal = _beyond(here, view, named)
        match = request.resolver_match
        if refusal and match and match.view_name == "shop:home":
            return redirect("floor:station", here.station)
        return answer(request, refusal) if refusal else None

    def process_response(
        self, request: HttpRequest, response: HttpResponse
    ) -> HttpResponse:
        """Keep tablets from storing pages, and remember when somebody was there."""
        session = request.session
        # What could not be read is not asked for again: it would be waited for again.
        if response.status_code >= HTTPStatus.INTERNAL_SERVER_ERROR:
            return response
        if not session.accessed or TABLET_KEY not in session:
            return response
        response.headers["Cache-Control"] = "no-store"
        if BY_ITSELF not in request.headers and session.session_key:
            set_cookie(request, response, HEARD_COOKIE, _heard(session).sign(""))
        if request.method == "GET" and isinstance(session, SessionStore):
            hear(session.tablet)
        return response


def _beyond(
    here: TabletHere, view: Callable[..., HttpResponse], named: dict[str, Any]
) -> Refusal | None:
    """Say why a view is none of a station's screens, if it is not."""
    opens = getattr(view, "at_tablets", None)
    if opens is None:
        return NOT_AT_TABLETS.about(station=here.station_name)
    if opens and named.get(opens) not in (here.station, here.station_tag):
        return OTHER_STATION.about(station=here.station_name)
    return None


def _person(request: HttpRequest) -> Any:
    """Give the person who came with the session, if the session still holds.

    Whatever is out of the ordinary is left to Django's own way.
    """
    session = request.session
    backend = session.get(auth.BACKEND_SESSION_KEY)
    row = getattr(session, "person_row", None)
    if TABLET_KEY in session and _is_idle(request):
        session.flush()
        return AnonymousUser()
    if row is None or backend not in settings.AUTHENTICATION_BACKENDS:
        return auth.get_user(request)
    person = Person.from_db(connection.alias, NAMES, row)
    held = session.get(auth.HASH_SESSION_KEY) or ""
    known = str(person.pk) == session.get(auth.SESSION_KEY) and constant_time_compare(
        held, person.get_session_auth_hash()
    )
    return person if known and person.is_active else auth.get_user(request)


def _heard(session: Any) -> signing.TimestampSigner:
    return signing.TimestampSigner(salt=f"heard {session.session_key}")


def _is_idle(request: HttpRequest) -> bool:
    """Say whether nobody did anything for too long; no word of it counts as that."""
    said = request.COOKIES.get(HEARD_COOKIE, "")
    longest = timedelta(seconds=settings.IDLE_SIGN_OUT_S) + GRACE
    try:
        _heard(request.session).unsign(said, max_age=longest)
    except signing.BadSignature:
        return True
    return False


def begin(
    request: HttpRequest, *, person: Person, tablet: Tablet | None, at: datetime
) -> None:
    """Begin a session under a new key, for a while and no longer."""
    auth.login(request, person, backend=settings.AUTHENTICATION_BACKENDS[0])
    if tablet is not None:
        request.session[TABLET_KEY] = tablet.pk
    end_after_a_day_at_work(request, at)
    # A new key for whoever signs in again, too, and now: the cookie that says when
    # somebody was there is signed for it.
    request.session.cycle_key()


def end_after_a_day_at_work(request: HttpRequest, at: datetime) -> None:
    """Let the session end at a moment that no request moves."""
    request.session.set_expiry(at + timedelta(seconds=settings.SESSION_COOKIE_AGE))


def tablet_here(request: HttpRequest) -> TabletHere | None:
    """Say on which tablet the session was begun; None for a desk.

    It came with the session's row, so that asking costs nothing more.
    """
    return getattr(getattr(request, "session", None), "tablet", None)


def tablet_id_of(request: HttpRequest) -> int | None:
    """Give the number of that tablet, for what is recorded at it."""
    here = tablet_here(request)
    return here.id if here else None


def tablet_of(request: HttpRequest) -> Tablet | None:
    """Say which tablet asks, by the token that its browser keeps; None for a desk."""
    token = request.COOKIES.get(TABLET_COOKIE)
    if not token:
        return None
    digest = digest_of(token)
    return (
        Tablet.objects.select_related("station")
        .filter(token_digest=digest, revoked_at=None)
        .first()
    )


def hear(tablet: TabletHere | Tablet | None) -> None:
    """Note now and then that a tablet was heard; most requests write nothing."""
    now = timezone.now()  # noqa: TID251 - of the request, not of a deed
    if tablet is None or (tablet.heard_at and now - tablet.heard_at < HEARD_EVERY):
        return
    late = Q(heard_at=None) | Q(heard_at__lte=now - HEARD_EVERY)
    Tablet.objects.filter(late, pk=tablet.id).update(heard_at=now)


def set_cookie(
    request: HttpRequest, response: HttpResponse, name: str, value: str, **more: Any
) -> None:
    """Set a cookie that no script reads and no other site sends."""
    response.set_cookie(
        name,
        value,
        httponly=True,
        samesite="Lax",
        secure=request.is_secure(),
        **more,
    )


def station_url(request: HttpRequest) -> str:
    """Give the address of the tablet's own station."""
    here = tablet_here(request)
    return reverse("floor:station", args=[here.station]) if here else ""
