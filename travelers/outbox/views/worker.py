"""Which script keeps a station's page for the time without network?"""

import json

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.templatetags.static import static
from django.views.decorators.http import require_safe

from travelers.outbox.queries.build import FILES, FONTS, build


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """Serve the script under its own plain name, with what it shall keep."""
    files = [static(name) for name in (*FILES, *FONTS)]
    told = json.dumps({"version": build(), "files": files})
    first = [static(f"outbox/{name}.js") for name in ("store", "send", "worker")]
    source = f"self.shopKept = {told};\nimportScripts(...{json.dumps(first)});\n"
    return HttpResponse(
        source,
        content_type="text/javascript",
        headers={"Cache-Control": "no-cache"},
    )
