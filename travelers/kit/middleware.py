"""How does a refusal reach the person: as a page, a piece or JSON?"""

from collections.abc import Callable
from urllib.parse import urlsplit, urlunsplit

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import RequestDataTooBig
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render, resolve_url
from django_htmx.http import HttpResponseClientRedirect

from travelers.kit.pages import wants_piece
from travelers.kit.refusals import (
    FORM_WRONG,
    NOT_FOUND,
    STALE_PAGE,
    TOO_MUCH,
    Refusal,
    Refused,
)
from travelers.kit.words import remedy_of, sentence_of


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
        return None


def _leads_to_sign_in(response: HttpResponse) -> bool:
    location = response.headers.get("Location", "")
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
        return JsonResponse(
            {
                "code": refusal.code,
                "sentence": sentence_of(refusal),
                "remedy": remedy_of(refusal),
            },
            status=refusal.status,
        )
    piece = "#refusal" if wants_piece(request) else ""
    response = render(
        request,
        f"kit/refusal.html{piece}",
        {"refusal": refusal},
        status=refusal.status,
    )
    response.headers["Vary"] = "HX-Request, Accept, Cookie"
    # It comes into the target, not in its place: the next answer needs the target.
    response.headers["HX-Reswap"] = "innerHTML"
    return response
