"""Who may enter a screen?"""

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec, cast

from django.http import HttpRequest, HttpResponse

from travelers.kit.refusals import NOT_YOUR_ROLE, Refused

if TYPE_CHECKING:
    from travelers.shop.models import Person

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponse]


def for_roles(*roles: str) -> Callable[[View[P]], View[P]]:
    """Let in whoever has one of ``roles``; an admin enters everywhere."""

    def wrap(view: View[P]) -> View[P]:
        @wraps(view)
        def guarded(
            request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponse:
            if not has_one_of(request.user, roles):
                raise Refused(NOT_YOUR_ROLE)
            return view(request, *args, **kwargs)

        guarded.roles = roles  # type: ignore[attr-defined]
        return guarded

    return wrap


def at_tablets(station: str = "") -> Callable[[View[P]], View[P]]:
    """Open a view to sessions that were begun on a tablet, which others are not.

    ``station`` names the part of its address that must be the tablet's own station.
    """

    def wrap(view: View[P]) -> View[P]:
        view.at_tablets = station  # type: ignore[attr-defined]
        return view

    return wrap


def has_one_of(user: Any, roles: tuple[str, ...]) -> bool:
    return bool(
        user.is_authenticated
        and (user.is_admin or any(user.has(role) for role in roles))
    )


def person_of(request: HttpRequest) -> "Person":
    """Give who asks; behind :func:`for_roles` that is somebody signed in."""
    return cast("Person", request.user)
