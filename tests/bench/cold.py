"""How soon does a process that has just started answer what limits output?

A planner opens the page: it stands at once with what was forecast last, and asks for a
fresh answer. The server has answered nothing but the page of signing in before. The
same is asked once more, when all that a forecast needs is loaded.
"""

import os
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from statistics import median

from tests.bench.ground import database
from tests.bench.table import row
from tests.serving import Answer, Server, serving

INSTRUMENTS, ROUNDS = 100, 5
YESTERDAY = timedelta(hours=20)
PAGE = "/limits/"
PIECE = {"HX-Request": "true", "HX-Target": "limits"}


@dataclass(frozen=True)
class Took:
    """Seconds by the clock, and of the server's processor."""

    s: float
    processor_s: float


def main() -> None:
    with database() as environment:
        session = _fill()
        rounds = [_opened(environment, session) for _ in range(ROUNDS)]
    at_once, cold, warm = zip(*rounds, strict=True)
    new = "a process that has just started"
    _tell(f"{new}: the last forecast is shown", at_once)
    _tell(f"{new}: a fresh first answer", cold)
    _tell("the same once more", warm)


def _tell(what: str, took: tuple[Took, ...]) -> None:
    row(f"{what} after", median(one.s for one in took), "s", digits=2, at_most=1)
    row(
        f"{what}: work",
        median(one.processor_s for one in took),
        "s of a core",
        digits=2,
    )


def _fill() -> str:
    """Let the demo live until now, forecast it, and give a planner's session."""
    from django.contrib.auth import get_user_model
    from django.test import Client
    from django.utils import timezone

    from travelers.demo.actions import load_demo
    from travelers.planning.actions import make_forecast

    now = timezone.now()  # noqa: TID251 - as the server's clock
    load_demo(seed=1, instruments=INSTRUMENTS, now=now)
    at, zone = now - YESTERDAY, timezone.get_default_timezone()
    make_forecast(at=at, seed=1, futures=1000, zone=zone, with_gains=True)
    client = Client()
    client.force_login(get_user_model().objects.get(username="pia"))
    return client.cookies["sessionid"].value


def _opened(environment: Mapping[str, str], session: str) -> tuple[Took, Took, Took]:
    from travelers.planning.models import Forecast

    with serving("shopfloor.wsgi:application", environment, workers=1) as server:
        visitor = server.visitor()
        visitor.cookies |= {"sessionid": session, "csrftoken": "a" * 32}

        def fresh() -> Answer:
            return visitor.ask("POST", PAGE, headers=PIECE)

        at_once = _timed(server, lambda: visitor.ask("GET", PAGE))
        cold = _timed(server, fresh)
        Forecast.objects.latest("made_at").delete()
        warm = _timed(server, fresh)
        Forecast.objects.latest("made_at").delete()
    return at_once, cold, warm


def _timed(server: Server, request: Callable[[], Answer]) -> Took:
    before, began = server.processor_ms(), time.perf_counter()
    answer = request()
    took = time.perf_counter() - began
    if answer.status != 200:
        raise RuntimeError(f"the server said {answer.status}: {answer.body[:2000]!r}")
    return Took(took, (server.processor_ms() - before) / 1000)


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main()
