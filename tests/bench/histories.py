"""A shop that has lived for long, kept as a file every other week.

The demo's shop takes orders all the time, so that it is as full as it gets; wood for
them comes as often as in its file, and more of it. What is kept shows the
floor as it stood at that moment; the last file, months later, what came of it.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from unittest.mock import patch

from tests.bench.ground import environment_of, migrate, say

END = datetime(2026, 5, 29, 14, tzinfo=UTC)
# It lives on for so long after its last order, to see what comes of the others.
ON = timedelta(days=90)
# Two years, or as many as the environment says: each adds as many orders again a day.
YEARS = int(os.environ.get("BENCH_YEARS", "2"))
MORE = YEARS - 2
# Orders are spread over so many working days: 21 months, three times the longest way.
SPREAD_OVER = 440 + 280 * MORE
INSTRUMENTS = 300 + 180 * MORE
# Small ones, so that there are many.
LEAST, MOST = 1, 3
FIRST, EVERY = timedelta(days=56), timedelta(days=14)
WOOD_BEFORE = timedelta(days=560 + 410 * MORE)
WOOD_TIMES = 3 + 2 * MORE


@dataclass(frozen=True)
class History:
    """The files of one history, the first moment first; the last shows what came."""

    moments: tuple[Path, ...]
    last: Path


def history(*, seed: int, folder: Path) -> History:
    """Give a history, lived now if it is not kept yet."""
    own = folder / f"years-{YEARS}-seed-{seed}"
    if not (own / "lived").exists():
        own.mkdir(parents=True, exist_ok=True)
        _live(seed, own)
        (own / "lived").touch()
    *moments, last = sorted(own.glob("*.sqlite3"))
    return History(tuple(moments), last)


def open_at(path: Path) -> None:
    """Let the shop's database be that of a moment."""
    from django.db import connection

    connection.close()
    connection.settings_dict["NAME"] = str(path)


def start(folder: Path) -> None:
    """Start the shop, on a file of no worth until another is opened."""
    folder.mkdir(parents=True, exist_ok=True)
    os.environ.pop("DATABASE_URL", None)
    os.environ.update(environment_of(f"sqlite:///{folder / f'{os.getpid()}.tmp'}"))
    os.environ["DJANGO_SETTINGS_MODULE"] = "shopfloor.settings"
    import django

    django.setup()


def _live(seed: int, own: Path) -> None:
    from django.db import connection

    from travelers.demo import queries
    from travelers.demo.actions import loading
    from travelers.demo.rules import plan
    from travelers.demo.rules.agenda import Agenda

    path = own.parent / f"{os.getpid()}.tmp"
    open_at(path)
    migrate()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA synchronous=OFF")
    with (
        patch.multiple(plan, SPREAD_OVER=SPREAD_OVER, LEAST=LEAST, MOST=MOST),
        patch.object(loading, "SPREAD_OVER", SPREAD_OVER),
        patch.object(loading, "transaction", _Apart),
        patch.object(queries, "fixture", _with_more_wood(queries.fixture)),
        _keeping(Agenda, loading, own),
    ):
        loading.load_demo(seed=seed, instruments=INSTRUMENTS, now=END)
    connection.close()
    path.unlink()


class _Apart:
    """Each verb stands for itself, so that a moment can be kept on the way."""

    atomic = staticmethod(lambda *_: nullcontext())


def _with_more_wood(fixture: Any) -> Any:
    def told(*, name: str) -> Any:
        said = fixture(name=name)
        if name == "lumber":
            for row in said["deliveries"]:
                day = date.fromisoformat(row["received_on"]) - WOOD_BEFORE
                row["received_on"], row["planks"] = str(day), row["planks"] * WOOD_TIMES
        return said

    return told


@contextmanager
def _keeping(agendas: Any, loading: Any, own: Path) -> Iterator[None]:
    """Keep the shop as it stands every other week, and after it has lived on."""
    from travelers.shop.models import Gauge

    run, heat = agendas.run, loading.heat_rooms

    def stopping(agenda: Any, until: datetime) -> None:
        # In the demo nobody has gauges calibrated.
        Gauge.objects.update(due_on=(until + 2 * ON).date())
        at = agenda.now + FIRST
        while at < until:
            run(agenda, at)
            _keep(own, at)
            at += EVERY
        run(agenda, until + ON)
        _keep(own, until + ON)

    def heating(*, until: datetime, **told: Any) -> None:
        heat(until=until + ON, **told)

    with (
        patch.object(agendas, "run", stopping),
        patch.object(loading, "heat_rooms", heating),
    ):
        yield


def _keep(own: Path, at: datetime) -> None:
    from django.db import connection

    path = own / f"{at:%Y-%m-%dT%H%M}.sqlite3"
    path.unlink(missing_ok=True)
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(path)])
    say(f"  {own.name} has lived until {at:%Y-%m-%d}")


def moment_of(path: Path) -> datetime:
    """Say when a kept moment was over: its name knows no seconds."""
    begun = datetime.strptime(path.stem, "%Y-%m-%dT%H%M").replace(tzinfo=UTC)
    return begun + timedelta(minutes=1)
