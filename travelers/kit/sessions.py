"""Who is signed in?  Asked by every request, so its two questions are made once."""

from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.backends import ModelBackend
from django.contrib.sessions.backends.db import SessionStore as DatabaseSessions
from django.contrib.sessions.models import Session
from django.db import connection
from django.utils import timezone

from travelers.kit.rows import MARK_TEXT, OftenAsked

_session = OftenAsked(
    lambda key: Session.objects.filter(session_key=key).values_list(
        "session_key", "session_data", "expire_date"
    ),
    MARK_TEXT,
)


class SessionStore(DatabaseSessions):
    """Django's sessions in the database, read by SQL that is made once."""

    def _get_session_from_db(self) -> Session | None:
        rows = _session(self.session_key or "")
        now = timezone.now()  # noqa: TID251 - a session ends by the clock
        if not rows or rows[0][2] <= now:
            self._session_key = None
            return None
        key, data, expires = rows[0]
        return Session(session_key=key, session_data=data, expire_date=expires)

    @classmethod
    def get_model_class(cls) -> type[Session]:
        return Session


class SignIn(ModelBackend):
    """Django's sign-in by name and password; the person is read the same way."""

    _person: OftenAsked | None = None

    def get_user(self, user_id: Any) -> Any:
        model = get_user_model()
        names = [field.attname for field in model._meta.concrete_fields]
        if SignIn._person is None:
            SignIn._person = OftenAsked(
                lambda key: model._default_manager.filter(pk=key).values_list(*names)
            )
        rows = SignIn._person(int(user_id))
        if not rows:
            return None
        person = model.from_db(connection.alias, names, rows[0])
        return person if self.user_can_authenticate(person) else None
