"""Which places does the head of a page lead to, for whoever reads it?"""

from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple

from django.http import HttpRequest
from django.urls import ResolverMatch, reverse
from django.utils.translation import gettext

from travelers.kit.refusals import gettext_noop
from travelers.shop.passes import pass_of
from travelers.shop.rules import EVERYBODY, Role
from travelers.shop.sessions import tablet_here


class Place(NamedTuple):
    """One entry of the head; ``current`` says that the reader is there."""

    label: str
    url: str
    current: bool


class Signpost(NamedTuple):
    """Where an entry leads, whom it is for, and which addresses belong to it."""

    name: str
    label: str
    roles: tuple[Role, ...]
    covers: tuple[str, ...]


DESK = (Role.LEAD, Role.PLANNER, Role.QA, Role.ROUTE_ENGINEER)
SIGNPOSTS = (
    Signpost("shop:home", gettext_noop("Today"), EVERYBODY, ("shop:home",)),
    Signpost(
        "shop:stations",
        gettext_noop("Stations"),
        (Role.OPERATOR, Role.LEAD, Role.PLANNER, Role.QA),
        ("shop:stations", "floor:"),
    ),
    Signpost(
        "planning:board",
        gettext_noop("Board"),
        EVERYBODY,
        ("planning:", "flow:", "limits:", "promises:", "what_if:", "digest:"),
    ),
    Signpost("orders:orders", gettext_noop("Orders"), DESK, ("orders:",)),
    Signpost(
        "lumber:deliveries",
        gettext_noop("Lumber"),
        (Role.OPERATOR, Role.LEAD, Role.PLANNER, Role.QA),
        ("lumber:", "materials:"),
    ),
    Signpost(
        "rooms:rooms",
        gettext_noop("Rooms"),
        (Role.OPERATOR, Role.LEAD, Role.PLANNER, Role.QA),
        ("rooms:", "moisture:"),
    ),
    Signpost(
        "routes:models",
        gettext_noop("Routes"),
        (Role.PLANNER, Role.QA, Role.ROUTE_ENGINEER),
        ("routes:",),
    ),
    Signpost(
        "quality:defects",
        gettext_noop("Defects"),
        (Role.LEAD, Role.PLANNER, Role.QA),
        ("quality:",),
    ),
    Signpost(
        "decisions:list",
        gettext_noop("Decisions"),
        (Role.LEAD, Role.QA),
        ("decisions:",),
    ),
    Signpost(
        "outbox:late", gettext_noop("Came late"), (Role.LEAD, Role.QA), ("outbox:",)
    ),
    Signpost(
        "shop:people",
        gettext_noop("People"),
        (Role.LEAD,),
        ("shop:people", "shop:person", "shop:skill", "shop:skills", "shop:tablets"),
    ),
    Signpost("admin:index", gettext_noop("Back door"), (Role.ADMIN,), ("admin:",)),
)


def navigation(request: HttpRequest) -> dict[str, Callable[[], Any]]:
    """Offer the places of the reader's work, the tablet and the pass that it carries.

    Callables, because most answers are pieces of a page and show none of them.
    """
    return {
        "nav": partial(places, request),
        "tablet": partial(tablet_here, request),
        "carried_pass": partial(pass_of, request),
    }


def places(request: HttpRequest) -> list[Place]:
    """List where the reader's work is; asks only for columns of the person."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated or tablet_here(request):
        return []
    return [
        Place(
            gettext(post.label),
            reverse(post.name),
            _is_at(post, request.resolver_match),
        )
        for post in SIGNPOSTS
        if user.is_admin or any(user.has(role) for role in post.roles)
    ]


def _is_at(post: Signpost, match: ResolverMatch | None) -> bool:
    here = match.view_name if match else ""
    return any(
        here.startswith(name) if name.endswith(":") else here == name
        for name in post.covers
    )
