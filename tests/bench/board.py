"""Does the board cost more when the shop is full?"""

import os
import statistics
import time
from typing import Any

from tests.bench.ground import database, say

FEW, MANY, ROUNDS = 50, 5_000, 25


def main() -> None:
    with database():
        from django.conf import settings
        from django.test import Client

        from tests import make

        settings.ALLOWED_HOSTS.append("testserver")
        shop = make.shop()
        client = Client()
        client.force_login(shop.cast.planner)
        few = _fill(shop, FEW)
        few_ms, few_queries, size = _cost(client)
        many = _fill(shop, MANY)
        many_ms, many_queries, many_size = _cost(client)
    say(
        f"{few:>6} parts on the floor: {few_ms:6.1f} ms, {few_queries} queries, "
        f"{size} kB"
    )
    say(
        f"{many:>6} parts on the floor: {many_ms:6.1f} ms, {many_queries} queries, "
        f"{many_size} kB"
    )
    say(f"ratio {many_ms / few_ms:.2f} (aim: at most 2)")


def _fill(shop: object, wanted: int) -> int:
    """Release instruments until so many parts are in work, and spread them."""
    from travelers.orders.models import Part
    from travelers.shop.models import Stage

    in_work = Part.objects.filter(stage__isnull=False)
    while in_work.count() < wanted:
        # Each instrument brings three parts: body, neck, electronics.
        missing = wanted - in_work.count()
        shop.instruments(min(100, -(-missing // 3)))  # type: ignore[attr-defined]
    # Only the board's own columns are moved: where parts lie is all it reads.
    stages = list(Stage.objects.order_by("position"))
    looks = ("WAITING", "IN_WORK", "DWELLING")
    for number, pk in enumerate(in_work.values_list("pk", flat=True)):
        Part.objects.filter(pk=pk).update(
            stage=stages[number % len(stages)], look=looks[number % len(looks)]
        )
    return in_work.count()


def _cost(client: object) -> tuple[float, int, int]:
    from django.db import connection
    from django.urls import reverse

    url = reverse("planning:board")
    asked: list[str] = []

    def listen(execute: Any, sql: str, *rest: Any) -> Any:
        asked.append(sql)
        return execute(sql, *rest)

    with connection.execute_wrapper(listen):
        size = len(client.get(url).content) // 1024  # type: ignore[attr-defined]
    took = []
    for _ in range(ROUNDS):
        started = time.perf_counter()
        answer = client.get(url)  # type: ignore[attr-defined]
        took.append((time.perf_counter() - started) * 1000)
        if answer.status_code != 200:
            raise RuntimeError(f"the board answered {answer.status_code}")
    return statistics.median(took), len(asked), size


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main()
