"""What does a request cost: how long it takes, and how much of the processor?"""

import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from tests.serving import Answer, Server

Request = Callable[[], Answer]


@dataclass(frozen=True)
class Cost:
    """Latencies in ms, and the server's own processor time in ms a request."""

    latencies: list[float]
    processor: float

    def percentile(self, share: float) -> float:
        ordered = sorted(self.latencies)
        return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def measure(server: Server, requests: Sequence[Request], *, threads: int = 1) -> Cost:
    before = server.processor_ms()
    with ThreadPoolExecutor(threads) as pool:
        latencies = list(pool.map(_timed, requests))
    return Cost(latencies, (server.processor_ms() - before) / len(requests))


def _timed(request: Request) -> float:
    started = time.perf_counter()
    answer = request()
    if answer.status >= 400:
        raise RuntimeError(f"the server said {answer.status}: {answer.body[:2000]!r}")
    return (time.perf_counter() - started) * 1000
