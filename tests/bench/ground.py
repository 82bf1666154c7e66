"""On which ground is measured?  A database of its own, thrown away afterwards."""

import os
import sys
import tempfile
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

PLAIN_STATIC = "django.contrib.staticfiles.storage.StaticFilesStorage"


@dataclass(frozen=True)
class Asked:
    """How long a load lasts, and by which kind of server it is answered."""

    seconds: float
    how: dict[str, int | str]

    @property
    def told(self) -> str:
        from django.db import connection

        served = " ".join(f"{name} {value}" for name, value in self.how.items())
        return f"{self.seconds:.0f} s on {connection.vendor}, {served}"


def asked_for(explained: str | None) -> Asked:
    parser = ArgumentParser(description=explained)
    parser.add_argument("--seconds", type=float, default=60, help="how long it lasts")
    parser.add_argument("--kind", default="sync", help="gunicorn's: sync or gthread")
    parser.add_argument("--threads", type=int, default=1, help="of each process")
    given = parser.parse_args()
    how: dict[str, int | str] = {"kind": given.kind, "threads": given.threads}
    return Asked(given.seconds, how)


@contextmanager
def database() -> Iterator[dict[str, str]]:
    """Start the shop on an empty database: in DATABASE_URL's cluster, or a file."""
    with tempfile.TemporaryDirectory() as folder:
        environment = environment_of(f"sqlite:///{Path(folder) / 'bench.sqlite3'}")
        if not environment["DATABASE_URL"].startswith("sqlite"):
            environment["DATABASE_URL"] = beside(environment["DATABASE_URL"], "bench")
        environment["DJANGO_SETTINGS_MODULE"] = "shopfloor.settings"
        os.environ.update(environment)
        migrate()
        yield environment


def beside(url: str, name: str) -> str:
    """Make a database of this process's own in the same cluster, and name it."""
    import psycopg

    own = f"{name}_{os.getpid()}"
    with psycopg.connect(url, autocommit=True) as cluster:
        cluster.execute(f"CREATE DATABASE {own}".encode())
    base, _, query = url.partition("?")
    return f"{base.rpartition('/')[0]}/{own}?{query}"


def environment_of(url: str) -> dict[str, str]:
    return {
        "DATABASE_URL": os.environ.get("DATABASE_URL") or url,
        "STATICFILES_STORAGE": PLAIN_STATIC,
    }


def migrate() -> None:
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0, run_syncdb=True)


def say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()
