"""How does a refusal reach the person: as a page, a piece or JSON?"""

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from travelers.kit.pages import wants_piece
from travelers.kit.refusals import NOT_FOUND, Refusal, Refused
from travelers.kit.words import remedy_of, sentence_of


class RefusalMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(
        self, request: HttpRequest, exception: Exception
    ) -> HttpResponse | None:
        if isinstance(exception, Refused):
            return answer(request, exception.refusal)
        if isinstance(exception, Http404):
            return answer(request, NOT_FOUND)
        return None


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
    return response
