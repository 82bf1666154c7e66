"""How does a screen leave the server: the whole page, or one piece of it?"""

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from functools import lru_cache
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import patch_vary_headers

# Tests put a guard here that fails when a template asks the database.
render_guard: Callable[[], AbstractContextManager[Any]] = nullcontext


def show(
    request: HttpRequest,
    template: str,
    page: Any,
    *,
    parts: Sequence[str] = (),
    status: int = 200,
    **extra: Any,
) -> HttpResponse:
    """Render ``template`` with ``page``, or the one part that htmx aims at.

    A part's name is its element id, its partial and its target at once; a target
    that is not in ``parts`` gets the whole page.
    """
    target = request.headers.get("HX-Target", "") if wants_piece(request) else ""
    name = f"{template}#{target}" if target in parts else template
    # Whatever is lazy and costs a query is read before the template starts.
    bool(getattr(request, "user", None) and request.user.is_authenticated)
    with render_guard():
        response = render(request, name, {"page": page, **extra}, status=status)
    patch_vary_headers(response, ["HX-Request", "HX-Target"])
    return response


def wants_piece(request: HttpRequest) -> bool:
    """Say whether htmx asks for a piece; going back it asks for the whole page."""
    asked = request.headers
    whole = asked.get("HX-Boosted") or asked.get("HX-History-Restore-Request")
    return bool(asked.get("HX-Request")) and not whole


@lru_cache(maxsize=2048)
def way(name: str, *names: str) -> str:
    """Give an address as ``reverse`` does, found once: a scan's answer has many."""
    return reverse(name, args=names)
