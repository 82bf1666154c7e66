"""How long do fifty tablets wait, each scanning and pressing every two seconds?

The bare view (session, sign-in and six queries) is asked at the same pace by as many,
before and after, as the floor below which this machine does not go.
"""

import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from urllib.parse import urlencode
from uuid import uuid4

from tests.bench.ground import Asked, asked_for, database, say
from tests.bench.scan import bare_environment, fill_bare, plain_requests, signed_in
from tests.bench.table import row
from tests.serving import PIECE, Answer, Server, serving

TABLETS, EVERY_S, AIM_MS = 50, 2.0, 250
# Each instrument begins with three steps, and each step takes two presses.
PRESSES_AN_INSTRUMENT = 6


@dataclass
class Waits:
    """What tablets waited for answers, in ms, by what was asked."""

    by_kind: dict[str, list[float]] = field(default_factory=dict)

    def add(self, kind: str, ms: float) -> None:
        self.by_kind.setdefault(kind, []).append(ms)

    def percentile(self, share: float, kinds: Sequence[str]) -> float:
        ms = self.sorted_ms(kinds)
        return ms[min(len(ms) - 1, int(share * len(ms)))]

    def sorted_ms(self, kinds: Sequence[str]) -> list[float]:
        return sorted(one for kind in kinds for one in self.by_kind[kind])

    def line(self, name: str, kinds: Sequence[str]) -> str:
        p50, p99 = (self.percentile(share, kinds) for share in (0.5, 0.99))
        ms = self.sorted_ms(kinds)
        return f"{name:30}{len(ms):8}{p50:10.1f}{p99:10.1f}{ms[-1]:10.1f}"


def main() -> None:
    asked = asked_for(__doc__)
    with tempfile.TemporaryDirectory() as folder, database() as environment:
        bare = bare_environment(folder, environment["DATABASE_URL"])
        session = fill_bare(bare)
        prepared = _prepare(int(TABLETS * asked.seconds / EVERY_S) + 3 * TABLETS)
        with (
            serving("shopfloor.wsgi:application", environment, **asked.how) as shop,
            serving("tests.bench.bare.wsgi:application", bare, **asked.how) as plain,
        ):
            _run(asked, shop, prepared, plain, session)


def _run(
    asked: Asked,
    shop: Server,
    prepared: list["Hand"],
    plain: Server,
    session: str,
) -> None:
    floor, waits = Waits(), Waits()
    bare = [_bare_turns(plain, session, floor) for _ in range(TABLETS)]
    scanning = [_scan_turns(shop, hand, waits) for hand in prepared]
    # The first requests load code; they are not counted.
    _keep_pace(bare, EVERY_S)
    _keep_pace(scanning, EVERY_S)
    floor.by_kind.clear()
    waits.by_kind.clear()
    _keep_pace(bare, max(5.0, asked.seconds / 8))
    before, began = shop.processor_ms(), time.perf_counter()
    _keep_pace(scanning, asked.seconds)
    took = time.perf_counter() - began
    used = (shop.processor_ms() - before) / took / 10
    _keep_pace(bare, max(5.0, asked.seconds / 8))
    say(f"{'':30}{'answers':>8}{'p50 ms':>10}{'p99 ms':>10}{'max ms':>10}")
    say(floor.line("bare view", ["bare"]))
    say(waits.line("look at a scanned part", ["look"]))
    say(waits.line("press", ["press"]))
    say(waits.line("both", ["look", "press"]))
    say(f"{asked.told}; the shop used {used:.0f} % of one core")
    both = waits.percentile(0.99, ["look", "press"])
    what = f"{TABLETS} tablets that scan and press, 99 of 100 answers within"
    row(what, both, "ms", at_most=AIM_MS)
    bare_ms = floor.percentile(0.99, ["bare"])
    row("the bare view at that pace, 99 of 100 within", bare_ms, "ms")


@dataclass(frozen=True)
class Hand:
    """What one tablet will press, and the session of who presses."""

    session: str
    presses: list[dict[str, str]]


def _prepare(number: int) -> list[Hand]:
    """Prepare presses that are all accepted: start and finish, step by step."""
    from django.test import Client

    from tests import make
    from travelers.orders.models import Step

    shop = make.shop()
    missing = -(-number // PRESSES_AN_INSTRUMENT) + TABLETS
    while missing > 0:
        shop.instruments(min(100, missing))
        missing -= 100
    ready = Step.objects.filter(state="READY", station__attended=True)
    steps = list(ready.select_related("part", "station").order_by("pk"))
    hands = []
    for one in range(TABLETS):
        client = Client()
        client.force_login(shop.cast.joiner)
        presses = [
            {
                "station": step.station.code if step.station else "",
                "wish": wish,
                "code": step.part.code,
                "step": str(step.pk),
            }
            for step in steps[one::TABLETS]
            for wish in ("START", "FINISH")
        ]
        hands.append(Hand(client.cookies["sessionid"].value, presses))
    return hands


def _scan_turns(server: Server, hand: Hand, waits: Waits) -> Iterator[None]:
    """Look at a part and press, again and again."""
    visitor = signed_in(server, hand.session, "/station/SAW/")
    for fields in hand.presses:
        page = f"/station/{fields['station']}/"
        look = urlencode({"code": fields["code"], "scanned": "1"})
        _timed(waits, "look", partial(visitor.ask, "GET", f"{page}?{look}"))
        sent = {**fields, "event_id": str(uuid4())}
        _timed(
            waits, "press", partial(visitor.ask, "POST", f"{page}wish/", sent, PIECE)
        )
        yield
    raise RuntimeError("not enough presses were prepared")


def _bare_turns(server: Server, session: str, waits: Waits) -> Iterator[None]:
    for request in plain_requests(signed_in(server, session, "/token")):
        _timed(waits, "bare", request)
        yield


def _timed(waits: Waits, kind: str, request: Callable[[], Answer]) -> None:
    started = time.perf_counter()
    answer = request()
    if answer.status >= 400:
        raise RuntimeError(f"the server said {answer.status}: {answer.body[:2000]!r}")
    waits.add(kind, (time.perf_counter() - started) * 1000)


def _keep_pace(turns: Sequence[Iterator[None]], seconds: float) -> None:
    """Let each take a turn every so often, spread evenly, for so many seconds."""
    begin = time.perf_counter()
    over = threading.Event()

    def take_turns(number: int, mine: Iterator[None]) -> None:
        due = begin + EVERY_S * number / len(turns)
        while due < begin + seconds:
            if over.wait(max(0.0, due - time.perf_counter())):
                return
            next(mine)
            due = max(due + EVERY_S, time.perf_counter())

    with ThreadPoolExecutor(len(turns)) as pool:
        made = [pool.submit(take_turns, *one) for one in enumerate(turns)]
        try:
            for one in made:
                one.result()
        finally:
            over.set()


if __name__ == "__main__":
    main()
