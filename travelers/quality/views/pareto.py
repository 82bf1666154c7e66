"""How does QA see which defects are most, and where they sit?"""

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from travelers.kit.pages import show
from travelers.kit.people import for_roles
from travelers.quality import queries
from travelers.quality.forms import ParetoForm
from travelers.quality.views.tracing import TRACERS

# So far back is counted where nothing else is said.
USUAL = timedelta(days=182)


@require_safe
@for_roles(*TRACERS)
def pareto(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    today = timezone.localdate(now)
    asked = ParetoForm(request.GET).asked(since=today - USUAL, until=today)
    page = queries.pareto_page(
        asked=asked, at=now, zone=timezone.get_default_timezone()
    )
    return show(request, "quality/pareto.html", page)
