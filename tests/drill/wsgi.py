"""What serves the shop to a drill, tells of its connection, and can die on the way?"""

import json
import os
import signal
from collections.abc import Callable, Iterable
from typing import Any

from django.core.wsgi import get_wsgi_application

os.environ["DJANGO_SETTINGS_MODULE"] = "tests.drill.settings"
shop = get_wsgi_application()

# The header by which a tablet asks for a server that dies before it answers.
DIE_BEFORE_ANSWER = "X-Drill-Die"
# Where a process tells how the connection is set that it serves the shop with.
CONNECTION = "/drill/connection"
ASKED = {
    "sqlite": ("PRAGMA synchronous", "PRAGMA journal_mode", "PRAGMA foreign_keys"),
    "postgresql": (
        "SHOW fsync",
        "SHOW synchronous_commit",
        "SHOW full_page_writes",
        "SHOW lock_timeout",
    ),
}


def application(
    environ: dict[str, Any], start_response: Callable[..., Any]
) -> Iterable[bytes]:
    if environ["PATH_INFO"] == CONNECTION:
        start_response("200 OK", [("Content-Type", "application/json")])
        return [json.dumps({"pid": os.getpid(), "told": _told()}).encode()]
    answer: Iterable[bytes] = shop(environ, start_response)
    if "HTTP_X_DRILL_DIE" in environ:
        # All is committed now, and not a byte of the answer has been sent.
        os.kill(os.getpid(), signal.SIGKILL)
    return answer


def _told() -> dict[str, str]:
    from django.db import connection

    told = {}
    with connection.cursor() as cursor:
        for question in ASKED[connection.vendor]:
            cursor.execute(question)
            told[question.split()[1]] = str(cursor.fetchone()[0])
    return told
