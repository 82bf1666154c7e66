"""What serves the shop to a drill, and can die between storing and answering?"""

import os
import signal
from collections.abc import Callable, Iterable
from typing import Any

from django.core.wsgi import get_wsgi_application

os.environ["DJANGO_SETTINGS_MODULE"] = "tests.drill.settings"
shop = get_wsgi_application()

# The header by which a tablet asks for a server that dies before it answers.
DIE_BEFORE_ANSWER = "X-Drill-Die"


def application(
    environ: dict[str, Any], start_response: Callable[..., Any]
) -> Iterable[bytes]:
    answer: Iterable[bytes] = shop(environ, start_response)
    if "HTTP_X_DRILL_DIE" in environ:
        # All is committed now, and not a byte of the answer has been sent.
        os.kill(os.getpid(), signal.SIGKILL)
    return answer
