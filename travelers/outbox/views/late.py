"""What does the lead see of what came late and was refused?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from travelers.kit.pages import show
from travelers.kit.people import for_roles, person_of
from travelers.outbox import queries
from travelers.outbox.actions import acknowledge
from travelers.shop.rules import Role


@require_safe
@for_roles(Role.LEAD, Role.QA)
def late(request: HttpRequest) -> HttpResponse:
    return show(request, "outbox/late.html", queries.late_page())


@require_POST
@for_roles(Role.LEAD, Role.QA)
def seen(request: HttpRequest, number: int) -> HttpResponse:
    acknowledge(latecomer_id=number, by=person_of(request), at=timezone.now())
    messages.success(request, gettext("Seen to; it is off the list."))
    return redirect("outbox:late")
