"""How does a refusal reach the person, and what may a page load and run?"""

import logging
import sys
from collections.abc import Callable
from functools import cache
from urllib.parse import urlsplit, urlunsplit

from csp.constants import HEADER
from csp.middleware import CSPMiddleware
from csp.utils import build_policy
from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import RequestDataTooBig
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render, resolve_url
from django.views.defaults import server_error
from django_htmx.http import HttpResponseClientRedirect

from travelers.kit.faults import refusal_of
from travelers.kit.pages import wants_piece
from travelers.kit.refusals import (
    FORM_WRONG,
    NOT_FOUND,
    RECORDS_UNREAD,
    STALE_PAGE,
    TOO_MUCH,
    Refusal,
    Refused,
)
from travelers.kit.words import remedy_of, sentence_of

log = logging.getLogger(__name__)

# In so many seconds it is worth asking a database again that could not store.
RETRY_AFTER_S = 5


class PolicyMiddleware(CSPMiddleware):
    """django-csp's header, put together once: every answer here has the same."""

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        if settings.DEBUG:
            # Django's own pages of a fault get none.
            return super().process_response(request, response)
        response.headers.setdefault(HEADER, _policy())
        return response


@cache
def _policy() -> str:
    return str(build_policy())


class RefusalMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if wants_piece(request) and _leads_to_sign_in(response):
            return _sign_in_again(request)
        return response

    def process_exception(
        self, request: HttpRequest, exception: Exception
    ) -> HttpResponse | None:
        if isinstance(exception, Refused):
            return answer(request, exception.refusal)
        if isinstance(exception, Http404):
            return answer(request, NOT_FOUND)
        return _answer_fault(request, exception)


def _answer_fault(
    request: HttpRequest, fault: BaseException | None
) -> HttpResponse | None:
    """Say in words that nothing could be stored; the fault itself goes to the log."""
    refusal = refusal_of(fault)
    if refusal is None:
        return None
    if request.method in ("GET", "HEAD"):
        refusal = RECORDS_UNREAD
    log.error("%s %s: %s", request.method, request.path, refusal.code, exc_info=fault)
    return answer(request, refusal)


def fault(request: HttpRequest) -> HttpResponse:
    """Answer a fault that came before or after the view, as when a session is read."""
    return _answer_fault(request, sys.exc_info()[1]) or server_error(request)


def _leads_to_sign_in(response: HttpResponse) -> bool:
    location = response.headers.get("Location", "")
    if not location:
        return False
    return urlsplit(location).path == resolve_url(settings.LOGIN_URL)


def _sign_in_again(request: HttpRequest) -> HttpResponse:
    """Lead the whole page, not a piece of it, to the sign-in and back again."""
    url = urlsplit(request.headers.get("HX-Current-URL", ""))
    back = redirect_to_login(urlunsplit(("", "", url.path or "/", url.query, "")))
    return HttpResponseClientRedirect(back.headers["Location"])


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer what Django lets in no further, such as a text of megabytes."""
    too_much = isinstance(exception, RequestDataTooBig)
    return answer(request, TOO_MUCH if too_much else FORM_WRONG)


def stale_page(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form that was made for somebody who has signed out since."""
    return answer(request, STALE_PAGE)


def answer(request: HttpRequest, refusal: Refusal) -> HttpResponse:
    if "application/json" in request.headers.get("Accept", ""):
        response: HttpResponse = JsonResponse(
            {
                "code": refusal.code,
                "sentence": sentence_of(refusal),
                "remedy": remedy_of(refusal),
            },
            status=refusal.status,
        )
    else:
        response = _draw(request, refusal)
    if refusal.status >= 500:
        response.headers["Retry-After"] = str(RETRY_AFTER_S)
        response.headers["Cache-Control"] = "no-store"
    return response


def _draw(request: HttpRequest, refusal: Refusal) -> HttpResponse:
    piece = "#refusal" if wants_piece(request) else ""
    is_fault = refusal.status >= 500
    response = render(
        request,
        f"kit/refusal.html{piece}",
        {
            "refusal": refusal,
            "is_fault": is_fault,
            # A screen that asks by itself is told without flash and sound.
            "asked_by_itself": "seen" in request.GET,
            "again": _sent(request) if is_fault else [],
            **(_known_without_asking(request) if is_fault else {}),
        },
        status=refusal.status,
    )
    response.headers["Vary"] = "HX-Request, Accept, Cookie"
    # It comes into the target, not in its place: the next answer needs the target.
    # Where nothing could be stored all stays, so that it can be pressed once more.
    response.headers["HX-Reswap"] = "afterbegin" if is_fault else "innerHTML"
    return response


def _sent(request: HttpRequest) -> list[tuple[str, str]]:
    """List what a form sent, with its number, so that it can be sent once more.

    Not where a password was typed: that belongs on no other page.
    """
    if request.method != "POST" or "password" in request.POST:
        return []
    return [
        (name, str(value))
        for name, values in request.POST.lists()
        for value in values
        if name != "csrfmiddlewaretoken"
    ]


def _known_without_asking(request: HttpRequest) -> dict[str, object]:
    """Give what a page's head shows, as far as it needs no database."""
    person = getattr(request, "_cached_user", None) or AnonymousUser()
    return {"user": person, "nav": [], "messages": []}
