"""How is a photo of a defect shown, and by whom?"""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from travelers.kit.people import for_roles
from travelers.quality import queries
from travelers.shop.rules import EVERYBODY


@require_safe
@for_roles(*EVERYBODY)
def photo(request: HttpRequest, event_id: UUID, number: int) -> HttpResponse:
    """Serve a photo as what it is, whatever a browser might guess."""
    content, name = queries.find_photo(event_id=event_id, number=number)
    return HttpResponse(
        content,
        content_type="image/jpeg",
        headers={
            "Content-Disposition": f'inline; filename="{name}"',
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "private, max-age=86400, immutable",
        },
    )
