"""How is the digest looked at, and printed?"""

from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from travelers.kit.pages import show
from travelers.kit.people import for_roles, has_one_of
from travelers.paper import documents, queries
from travelers.paper.queries import Digest
from travelers.paper.views.sheets import as_pdf, size_of
from travelers.planning.queries.forecast import FORECASTERS
from travelers.shop.rules import Role

MEETING = (Role.LEAD, Role.PLANNER, Role.QA)


@dataclass(frozen=True, slots=True)
class DigestPage:
    """The digest for this reader, who may look into the forecast or not."""

    digest: Digest
    plans: bool

    @property
    def day(self) -> date:
        return self.digest.day


@require_safe
@for_roles(*MEETING)
def digest(request: HttpRequest) -> HttpResponse:
    """Show what the meeting looks at; each figure leads to its parts."""
    found = queries.digest_now(at=timezone.now(), zone=timezone.get_default_timezone())
    page = DigestPage(found, has_one_of(request.user, FORECASTERS))
    return show(request, "paper/digest.html", page)


@require_safe
@for_roles(*MEETING)
def digest_pdf(request: HttpRequest) -> HttpResponse:
    found = queries.digest_now(
        at=timezone.now(),
        zone=timezone.get_default_timezone(),
        size=size_of(request),
    )
    printed = documents.digest_sheet(digest=found)
    return as_pdf(printed, f"digest-{found.day.isoformat()}")
