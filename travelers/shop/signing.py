"""Is it still the same person who signs what others will rely on?

A desk's session lasts a working day, and whoever sits down there next is not known.
So a decision of QA or a lead asks for the password once more, unless it was typed just
now.
"""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import wraps
from typing import Concatenate, ParamSpec

from django.conf import settings
from django.contrib import auth
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters

from travelers.kit.pages import show
from travelers.kit.people import person_of
from travelers.shop.rules import MOST_FAILURES

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponse]
log = logging.getLogger(__name__)

# When the password was typed last in a session, and how often it was wrong since.
TYPED_AT, WRONG = "typed_at", "typed_wrong"


def note_password(request: HttpRequest, at: datetime) -> None:
    """Remember that whoever is signed in typed the password just now."""
    request.session[TYPED_AT] = at.isoformat()
    request.session.pop(WRONG, None)


def asks_again(view: View[P]) -> View[P]:
    """Let a form through only when its sender's password was typed just now.

    Else the form is kept on a page that names who signs and asks for it; the right one
    sends the form on, and so many wrong ones end the session.
    """

    @wraps(view)
    @sensitive_post_parameters("password")
    def guarded(
        request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs
    ) -> HttpResponse:
        at = timezone.now()  # noqa: TID251 - of the request, not of a deed
        if request.method != "POST" or _is_fresh(request, at):
            return view(request, *args, **kwargs)
        typed = request.POST.get("password")
        if typed is not None and person_of(request).check_password(typed):
            note_password(request, at)
            return view(request, *args, **kwargs)
        if typed is not None and _count_wrong(request) >= MOST_FAILURES:
            log.warning("password wrong too often, person=%s", person_of(request).pk)
            auth.logout(request)
            return redirect(resolve_url(settings.LOGIN_URL))
        return _ask(request, is_wrong=typed is not None)

    guarded.asks_again = True  # type: ignore[attr-defined]
    return guarded


def _is_fresh(request: HttpRequest, at: datetime) -> bool:
    longest = timedelta(seconds=settings.SIGN_AGAIN_S)
    if not longest:
        return True
    typed = request.session.get(TYPED_AT)
    return typed is not None and at - datetime.fromisoformat(typed) <= longest


def _count_wrong(request: HttpRequest) -> int:
    wrong = int(request.session.get(WRONG, 0)) + 1
    request.session[WRONG] = wrong
    return wrong


def _ask(request: HttpRequest, *, is_wrong: bool) -> HttpResponse:
    sent = [
        (name, str(value))
        for name, values in request.POST.lists()
        for value in values
        if name not in ("csrfmiddlewaretoken", "password")
    ]
    response = show(request, "shop/sign_again.html", sent, status=403, wrong=is_wrong)
    response.headers["Cache-Control"] = "no-store"
    return response
