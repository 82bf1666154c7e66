"""How are routes read and released by the screen?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.routes import actions, queries
from travelers.shop.rules import EVERYBODY


@require_safe
@for_roles(*EVERYBODY)
def models(request: HttpRequest) -> HttpResponse:
    return show(
        request, "routes/models.html", queries.model_list(by=person_of(request))
    )


@require_safe
@for_roles(*EVERYBODY)
def revision(request: HttpRequest, model: str, number: str) -> HttpResponse:
    page = queries.revision_page(model_code=model, number=number, by=person_of(request))
    return show(request, "routes/revision.html", page)


@require_POST
@for_roles(*queries.ROUTE_KEEPERS)
def release(request: HttpRequest, model: str, number: str) -> HttpResponse:
    page = queries.revision_page(model_code=model, number=number, by=person_of(request))
    actions.release_revision(
        revision_id=page.id, by=person_of(request), at=timezone.now()
    )
    said = gettext("Revision {number} is released; new orders are built by it.")
    messages.success(request, said.format(number=number))
    return redirect("routes:revision", model, number)


@require_POST
@for_roles(*queries.ROUTE_KEEPERS)
def draft(request: HttpRequest, model: str, number: str) -> HttpResponse:
    page = queries.revision_page(model_code=model, number=number, by=person_of(request))
    made = actions.draft_revision(revision_id=page.id)
    said = gettext("Revision {number} is a copy to be changed.")
    messages.success(request, said.format(number=made.number))
    return redirect("routes:revision", model, made.number)


@require_POST
@for_roles(*queries.ROUTE_KEEPERS)
def drop(request: HttpRequest, model: str, number: str) -> HttpResponse:
    page = queries.revision_page(model_code=model, number=number, by=person_of(request))
    actions.drop_draft(revision_id=page.id)
    said = gettext("Draft {number} is thrown away.")
    messages.success(request, said.format(number=number))
    return redirect("routes:models")
