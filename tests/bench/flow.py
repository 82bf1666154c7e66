"""Does the flow page cost more when the history behind it grows?

Measured once with some finished instruments, then with ten and a hundred times as many,
each lot earlier than the one before; what is on the floor and what was finished in the
days that are shown stays the same.  The counting of all those days stands beside it.
"""

import os
import time
from datetime import timedelta
from typing import Any

from tests.bench.ground import database, say
from tests.bench.pages import page
from tests.bench.table import row

BUILT, ALIKE, OPEN, ROUNDS = 6, 9, 60, 9
# So far back a lot of history lies behind the one before it.
LOT = timedelta(days=300)
GROWTH = (1, 10, 100)
PAGES = {
    "the page": "/flow/?days=91",
    "its diagram": "/flow/course.svg?days=91",
    "a day's parts": "/flow/day/{day}/LUMBER/",
}
# The numbers of a copy are so much lower, as of what was written down before.
NEAR, FAR = 100_000, 10_000_000
# What of a row names it, names another of its lot, or is a moment.
TABLES: dict[str, dict[str, tuple[str, ...]]] = {
    "orders_instrument": {
        "key": ("id",),
        "moments": ("released_at", "closed_at"),
        "names": ("serial",),
        "place": ("position",),
    },
    "orders_part": {
        "key": ("id",),
        "lot": ("instrument_id",),
        "names": ("code",),
        "nothing": ("plank_set_id",),
    },
    "orders_step": {
        "key": ("id",),
        "lot": ("instrument_id", "part_id"),
        "moments": ("ready_at", "started_at", "dwell_until", "finished_at"),
    },
    "floor_event": {
        "key": ("seq",),
        "lot": ("instrument_id", "part_id", "step_id"),
        "moments": ("happened_at", "recorded_at"),
        "uuid": ("event_id",),
    },
}


def main() -> None:
    with database():
        import time_machine
        from django.conf import settings
        from django.test import Client

        from tests import make

        settings.ALLOWED_HOSTS.append("testserver")
        shop = make.shop()
        _fill(shop)
        lots, first = 0, dict[str, float]()
        with time_machine.travel(shop.now, tick=True):
            client = Client()
            client.force_login(shop.cast.planner)
            for times in GROWTH:
                for lot in range(lots, times - 1):
                    _copy((lot + 1) * FAR, LOT * (lot + 1), -FAR // 2)
                lots = times - 1
                counted = _count(shop)
                for name, address in PAGES.items():
                    here = address.format(day=shop.now.date())
                    took = page(client, here, rounds=ROUNDS).took.processor_ms
                    first.setdefault(name, took)
                    what = f"flow, {name}, {times} × history"
                    row(what, took, "ms of the processor")
                    if times > 1:
                        beside, of = f"{what} beside 1 ×", took / first[name]
                        row(beside, of, "times", digits=2, at_most=1.5)
                say(f"{times:>4} × history: {counted}")


def _fill(shop: Any) -> None:
    """Finish some instruments by scans, copy each, and leave others open."""
    from django.db import connection

    for _ in range(BUILT):
        (instrument,) = shop.instruments(1)
        for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
            shop.work(shop.part(instrument, branch))
    shop.instruments(OPEN)
    shop.later(hours=6)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA ignore_check_constraints = ON")
        cursor.execute("PRAGMA foreign_keys = OFF")
    for n in range(1, ALIKE + 1):
        _copy(n * NEAR, timedelta(hours=n), 0)


def _copy(number: int, earlier: timedelta, above: int) -> None:
    """Write the finished instruments above a number once more, as of another time."""
    from django.db import connection

    with connection.cursor() as cursor:
        for table, kinds in TABLES.items():
            description = connection.introspection.get_table_description(cursor, table)
            columns = [one.name for one in description]
            chosen = ", ".join(_copied(one, kinds, number, earlier) for one in columns)
            whose = "id" if table == "orders_instrument" else "instrument_id"
            cursor.execute(
                f"INSERT INTO {table} ({', '.join(columns)}) "
                f"SELECT {chosen} FROM {table} WHERE {whose} > {above} AND {whose} IN "
                "(SELECT id FROM orders_instrument WHERE state = 'FINISHED')"
            )
        cursor.execute("ANALYZE")


def _copied(
    name: str, kinds: dict[str, tuple[str, ...]], number: int, earlier: timedelta
) -> str:
    """Say what stands in a column of a copy."""
    back = f"-{earlier.total_seconds():.0f} seconds"
    said = {
        "key": f"{name} - {number}",
        "lot": f"{name} - {number}",
        "names": f"{name} || '-{number}'",
        "moments": f"strftime('%Y-%m-%d %H:%M:%S', {name}, '{back}')",
        "uuid": "lower(hex(randomblob(16)))",
        "nothing": "NULL",
        # An order has each place once.
        "place": f"{name} + {number // 500}",
    }
    kind = next((kind for kind, names in kinds.items() if name in names), None)
    return said[kind] if kind else name


def _count(shop: Any) -> str:
    """Count all days anew, and say what that took."""
    from django.utils import timezone

    from travelers.orders.models import Instrument
    from travelers.planning.actions import count_days

    started = time.perf_counter()
    days = count_days(at=shop.now, zone=timezone.get_default_timezone(), anew=True)
    took = time.perf_counter() - started
    count = Instrument.objects.count()
    return f"{days} days of {count} instruments counted once in {took:.1f} s"


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main()
