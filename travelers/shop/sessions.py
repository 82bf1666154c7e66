"""Who is signed in?  Asked by every request, so it is one question, made once."""

import hashlib
from typing import Any, cast

from django.conf import settings
from django.contrib import auth
from django.contrib.auth.middleware import AuthenticationMiddleware
from django.contrib.sessions.backends.db import SessionStore as DatabaseSessions
from django.db import connection
from django.http import HttpRequest
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.utils.functional import SimpleLazyObject

from travelers.kit.rows import MARK_TEXT, OftenAsked
from travelers.shop.models import Person, Session, Tablet

# The cookie in which a tablet shows that it was let in.
TABLET_COOKIE = "tablet"
# Under which a session says on which tablet it was begun.
TABLET_KEY = "tablet"
NAMES = [field.attname for field in Person._meta.concrete_fields]
_signed_in = OftenAsked(
    lambda key: Session.objects.filter(session_key=key).values_list(
        "session_data", "expire_date", "tablet_id", *(f"person__{n}" for n in NAMES)
    ),
    MARK_TEXT,
)


class SessionStore(DatabaseSessions):
    """Django's sessions in the database, each read together with its person."""

    person_row: tuple[Any, ...] | None = None

    def _get_session_from_db(self) -> Session | None:
        key = self.session_key or ""
        rows = _signed_in(key)
        now = timezone.now()  # noqa: TID251 - a session ends by the clock
        if not rows or rows[0][1] <= now:
            self._session_key = None
            return None
        data, expires, tablet_id, *person = rows[0]
        self.person_row = tuple(person) if person[0] is not None else None
        return Session(
            session_key=key,
            session_data=data,
            expire_date=expires,
            tablet_id=tablet_id,
        )

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
    """Django's, but for one question less to the database."""

    def process_request(self, request: HttpRequest) -> None:
        request.user = SimpleLazyObject(lambda: _person(request))  # type: ignore[assignment]


def _person(request: HttpRequest) -> Any:
    """Give the person who came with the session, if the session still holds.

    Whatever is out of the ordinary is left to Django's own way.
    """
    session = request.session
    backend = session.get(auth.BACKEND_SESSION_KEY)
    row = getattr(session, "person_row", None)
    if row is None or backend not in settings.AUTHENTICATION_BACKENDS:
        return auth.get_user(request)
    person = Person.from_db(connection.alias, NAMES, row)
    held = session.get(auth.HASH_SESSION_KEY) or ""
    known = str(person.pk) == session.get(auth.SESSION_KEY) and constant_time_compare(
        held, person.get_session_auth_hash()
    )
    return person if known and person.is_active else auth.get_user(request)


def tablet_of(request: HttpRequest) -> Tablet | None:
    """Say which tablet asks, by the token that its browser keeps; None for a desk."""
    token = request.COOKIES.get(TABLET_COOKIE)
    if not token:
        return None
    digest = hashlib.sha256(token.encode()).hexdigest()
    return (
        Tablet.objects.select_related("station")
        .filter(token_digest=digest, revoked_at=None)
        .first()
    )
