"""How does QA ask what the instruments with a defect have in common?"""

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from travelers.kit.pages import show
from travelers.kit.people import for_roles
from travelers.quality import queries
from travelers.quality.forms import CommonForm
from travelers.quality.views.tracing import TRACERS

# So far back is asked where nothing else is said.
USUAL = timedelta(days=182)


@require_safe
@for_roles(*TRACERS)
def common(request: HttpRequest) -> HttpResponse:
    """Rank what is over-represented, or ask of which defect it shall be."""
    today = timezone.localdate(timezone.now())
    form = CommonForm(
        request.GET or None, initial={"since": today - USUAL, "until": today}
    )
    question = None
    if form.is_bound and form.is_valid():
        given = form.cleaned_data
        question = queries.Question(
            given["kind"], given["since"], given["until"], given["model"]
        )
    page = queries.common_page(question=question, zone=timezone.get_default_timezone())
    wrong = form.is_bound and question is None
    return show(
        request, "quality/common.html", page, form=form, status=422 if wrong else 200
    )
