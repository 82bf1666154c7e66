"""How does a drill get a PostgreSQL of its own, which it may stop and start?"""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import connection

from shopfloor import environment

PROGRAM = Path(__file__).resolve().parent.parent.parent / ".ci" / "postgres"
# The cluster lives as long as somebody may still write to this program.
TELL = 'printf "%s\\n" "$DATABASE_URL" "$DATABASE_CONTROL"; exec cat'


@dataclass(frozen=True)
class Cluster:
    url: str
    control: tuple[str, ...]

    def do(self, *what: str) -> None:
        """Stop, start or restart it; it is waited for."""
        subprocess.run(
            [*self.control, *what],
            cwd="/",
            check=True,
            timeout=90,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )


@contextmanager
def cluster() -> Iterator[Cluster]:
    """Start a cluster that syncs what is committed, and throw it away."""
    with subprocess.Popen(
        [PROGRAM, "--durable", "bash", "-c", TELL],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as keeper:
        assert keeper.stdout
        url, control = (keeper.stdout.readline().strip() for _ in range(2))
        try:
            yield Cluster(url, tuple(control.split()))
        finally:
            with suppress(subprocess.TimeoutExpired):
                keeper.communicate("", timeout=60)
            keeper.terminate()


def copy(one: str, other: str) -> None:
    """Copy all that a database holds into an empty one."""
    tools = Path(os.environ["DATABASE_CONTROL"].partition("/pg_ctl")[0].split()[-1])
    told = subprocess.run(
        [tools / "pg_dump", "--no-owner", one], check=True, capture_output=True
    ).stdout
    subprocess.run(
        [tools / "psql", "-q", "-v", "ON_ERROR_STOP=1", other],
        input=told,
        check=True,
        stdout=subprocess.DEVNULL,
    )


@contextmanager
def looking_at(url: str) -> Iterator[None]:
    """Let the tests' own connection lead to another database for a while."""
    before: dict[str, Any] = dict(connection.settings_dict)
    _lead_to(environment.database(url, folder=Path()))
    try:
        yield
    finally:
        _lead_to(before)


def _lead_to(told: dict[str, Any]) -> None:
    connection.close()
    close_pool = getattr(connection, "close_pool", None)
    if close_pool:
        close_pool()
    connection.settings_dict.update(
        {name: told.get(name, "") for name in ("NAME", "HOST", "PORT", "USER")}
    )
