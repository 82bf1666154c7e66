"""Does the board cost more when the shop is full?"""

import os

from tests.bench.ground import database, say
from tests.bench.pages import page
from tests.bench.table import row

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
        little = page(client, "/board/", rounds=ROUNDS)
        many = _fill(shop, MANY)
        much = page(client, "/board/", rounds=ROUNDS)
    for parts, one in ((few, little), (many, much)):
        say(f"{parts:>6} parts on the floor: {one.queries} queries, {one.kib} KiB")
        row(f"the board with {parts} parts on the floor", one.took.ms, "ms")
    ratio = much.took.ms / little.took.ms
    row(f"the same beside {few} parts", ratio, "times", digits=2, at_most=2)


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


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main()
