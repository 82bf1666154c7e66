"""What does a scan cost beside a bare view with session, sign-in and six queries?

Both are served by the same kind of server from the same kind of database and asked
in turn, in small blocks, so that what else the machine does hits both alike.
"""

import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from uuid import uuid4

from tests.bench.bare.fill import SHEETS, STEPS
from tests.bench.cost import Cost, Request, measure
from tests.bench.ground import beside, database, environment_of, say
from tests.bench.table import row
from tests.serving import PIECE, Server, Visitor, serving

INSTRUMENTS, BLOCK, ALONE = 240, 20, 12


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, database() as environment:
        bare = bare_environment(folder, environment["DATABASE_URL"])
        session = fill_bare(bare)
        wishes = _scans()
        with (
            serving("shopfloor.wsgi:application", environment) as shop,
            serving("tests.bench.bare.wsgi:application", bare) as plain,
        ):
            plain_scans = plain_requests(signed_in(plain, session, "/token"))
            scans = _requests(signed_in(shop, wishes.session, wishes.page), wishes)
            # The first requests load code; they are not counted.
            measure(plain, _take(plain_scans, BLOCK))
            measure(shop, _take(scans, BLOCK))
            _report(*_in_turn(plain, plain_scans, shop, scans))


class Scans:
    """The presses that will be sent, in an order in which all are accepted."""

    def __init__(self, session: str, page: str, presses: list[dict[str, str]]) -> None:
        self.session, self.page, self.presses = session, page, presses


def _scans() -> Scans:
    from django.test import Client

    from tests import make
    from travelers.orders.models import Step

    shop = make.shop()
    shop.instruments(INSTRUMENTS)
    client = Client()
    client.force_login(shop.cast.joiner)
    first = Step.objects.filter(operation__name="Saw").select_related("part")
    presses = [
        {"wish": wish, "code": step.part.code, "step": str(step.pk)}
        for wish in ("START", "FINISH")
        for step in first.order_by("pk")
    ]
    return Scans(client.cookies["sessionid"].value, "/station/SAW/", presses)


def _requests(visitor: Visitor, scans: Scans) -> Iterator[Request]:
    for press in scans.presses:
        yield lambda press=press: visitor.ask(  # type: ignore[misc]
            "POST",
            f"{scans.page}wish/",
            {**press, "event_id": str(uuid4())},
            # As htmx does, it says where the part stands on the screen.
            {
                **PIECE,
                "HX-Current-URL": f"http://127.0.0.1{scans.page}"
                f"?code={press['code']}&step={press['step']}",
            },
        )


def plain_requests(visitor: Visitor) -> Iterator[Request]:
    draw = random.Random(7)
    while True:
        fields = {
            "token": f"T{draw.randrange(SHEETS):06}",
            "number": str(draw.randrange(STEPS)),
        }
        yield lambda fields=fields: visitor.ask("POST", "/scan", fields)  # type: ignore[misc]


def _in_turn(
    plain: Server,
    plain_scans: Iterator[Request],
    shop: Server,
    scans: Iterator[Request],
) -> tuple[Cost, Cost, Cost, Cost]:
    """Measure blocks one request at a time, then a block of eight at once."""
    alone = [
        (
            measure(plain, _take(plain_scans, BLOCK)),
            measure(shop, _take(scans, BLOCK)),
        )
        for _ in range(ALONE)
    ]
    busy = (
        measure(plain, _take(plain_scans, 150), threads=8),
        measure(shop, _take(scans, 150), threads=8),
    )
    return (*(_joined(side) for side in zip(*alone, strict=True)), *busy)  # type: ignore[return-value]


def _joined(blocks: tuple[Cost, ...]) -> Cost:
    return Cost(
        [latency for block in blocks for latency in block.latencies],
        sum(block.processor for block in blocks) / len(blocks),
    )


def _take(requests: Iterator[Request], count: int) -> list[Request]:
    taken = list(islice(requests, count))
    if len(taken) < count:
        raise RuntimeError("not enough scans were prepared")
    return taken


def signed_in(server: Server, session: str, page: str) -> Visitor:
    """Give a visitor the session's cookie, and the one that a form repeats."""
    visitor = server.visitor()
    visitor.cookies |= {"sessionid": session, "csrftoken": "a" * 32}
    answer = visitor.ask("GET", page)
    if answer.status != 200:
        raise RuntimeError(f"{page} answered {answer.status}")
    return visitor


def bare_environment(folder: str, shop_url: str) -> dict[str, str]:
    own = dict(os.environ) | environment_of("")
    if shop_url.startswith("sqlite"):
        own["DATABASE_URL"] = f"sqlite:///{Path(folder) / 'bare.sqlite3'}"
    else:
        own["DATABASE_URL"] = beside(shop_url, "bare")
    return own


def fill_bare(environment: dict[str, str]) -> str:
    command = [sys.executable, "-m", "tests.bench.bare.fill"]
    return subprocess.run(
        command, env=environment, capture_output=True, text=True, check=True
    ).stdout.strip()


def _report(plain: Cost, scan: Cost, plain_busy: Cost, scan_busy: Cost) -> None:
    say(f"{'':34}{'p50 ms':>8}{'p99 ms':>8}{'processor ms':>14}")
    rows = (
        ("bare view, one at a time", plain),
        ("scan, one at a time", scan),
        ("bare view, eight at once", plain_busy),
        ("scan, eight at once", scan_busy),
    )
    for name, cost in rows:
        low, high = cost.percentile(0.5), cost.percentile(0.99)
        say(f"{name:34}{low:8.2f}{high:8.2f}{cost.processor:14.2f}")
    row("a scan, half of them within", scan.percentile(0.5), "ms", digits=2)
    beside = "a scan beside the bare view"
    wall = scan.percentile(0.5) / plain.percentile(0.5)
    row(f"{beside}, half of them", wall, "times", digits=2, at_most=1.5)
    work = scan.processor / plain.processor
    row(f"{beside}, processor", work, "times", digits=2, at_most=1.5)
    busy = scan_busy.percentile(0.99)
    row("a scan, eight at once, 99 of 100 within", busy, "ms")


if __name__ == "__main__":
    main()
