"""How do the papers of a delivery come in, and how are they handed out?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_POST, require_safe

from travelers.kit.papers import PaperKind
from travelers.kit.people import for_roles, person_of
from travelers.kit.refusals import Refusal, Refused
from travelers.lumber import actions, queries
from travelers.lumber.forms import papers_in

TYPES = {PaperKind.PDF: "application/pdf", PaperKind.JPEG: "image/jpeg"}


@require_POST
@for_roles(*queries.WOOD_KEEPERS)
def papers(request: HttpRequest, number: str) -> HttpResponse:
    sent = papers_in(request.FILES.getlist("papers"))
    if isinstance(sent, Refusal):
        raise Refused(sent)
    new = actions.add_papers(
        delivery=number, papers=sent, by=person_of(request), at=timezone.now()
    )
    said = ngettext("{n} paper is kept.", "{n} papers are kept.", new).format(n=new)
    messages.success(request, said if new else gettext("This is kept already."))
    return redirect("lumber:delivery", number)


@require_safe
@for_roles(*queries.PAPER_READERS)
def paper(request: HttpRequest, number: str, paper: int) -> HttpResponse:
    """Hand a paper out as what it is; a browser shall not open what others made."""
    found = queries.find_paper(delivery=number, number=paper)
    return HttpResponse(
        found.content,
        content_type=TYPES[found.kind],
        headers={
            "Content-Disposition": f'attachment; filename="{found.name}"',
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "private, no-store",
        },
    )
