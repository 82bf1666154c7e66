"""What does a page cost, asked again and again in this process?"""

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

ROUNDS = 15


@dataclass(frozen=True)
class Took:
    """Milliseconds by the clock and of the processor, the median of each.

    What others do on the machine shows in the first alone.
    """

    ms: float
    processor_ms: float


@dataclass(frozen=True)
class Page:
    """What a page took, how many queries it asked, and its size."""

    took: Took
    queries: int
    kib: int


def median(work: Callable[[], object], *, rounds: int = ROUNDS) -> Took:
    """Measure some work; the first time, which loads code, does not count."""
    work()
    took, worked = [], []
    for _ in range(rounds):
        started, begun = time.perf_counter(), time.process_time()
        work()
        worked.append((time.process_time() - begun) * 1000)
        took.append((time.perf_counter() - started) * 1000)
    return Took(statistics.median(took), statistics.median(worked))


def page(client: Any, address: str, *, rounds: int = ROUNDS) -> Page:
    """Ask for a page and measure it; any other answer than the page is a fault."""
    from django.db import connection

    asked: list[str] = []

    def listen(execute: Any, sql: str, *rest: Any) -> Any:
        asked.append(sql)
        return execute(sql, *rest)

    def ask() -> Any:
        answer = client.get(address)
        if answer.status_code != 200:
            raise RuntimeError(f"{address} answered {answer.status_code}")
        return answer

    with connection.execute_wrapper(listen):
        size = len(ask().content) // 1024
    return Page(median(ask, rounds=rounds), len(asked), size)
