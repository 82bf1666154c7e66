"""Does the database keep what it has committed, as every answer to a scan promises?

Asked of the live connection by ``manage.py migrate``, which comes before every start.
"""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from django.core.checks import CheckMessage, Error
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

from travelers.kit.durable import journal_mode

# FULL and EXTRA, https://www.sqlite.org/pragma.html#pragma_synchronous.
SYNCED = (2, 3)
# What PostgreSQL must not leave out,
# https://www.postgresql.org/docs/current/non-durability.html.
ON = ("fsync", "synchronous_commit", "full_page_writes")
# File systems over a network, on which SQLite's locks cannot be relied on,
# https://www.sqlite.org/howtocorrupt.html (2.1).
FAR = ("nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "fuse.sshfs", "afs", "ceph")
MOUNTS = Path("/proc/self/mounts")


def durability(
    *, databases: Iterable[str] | None = None, **_kwargs: Any
) -> list[CheckMessage]:
    """Refuse to start on a database that may lose what was acknowledged."""
    found: list[CheckMessage] = []
    for alias in databases or ():
        connection = connections[alias]
        if connection.vendor == "sqlite":
            found += _of_sqlite(connection)
        elif connection.vendor == "postgresql":
            found += _of_postgresql(connection)
    return found


def _of_sqlite(connection: BaseDatabaseWrapper) -> Iterator[CheckMessage]:
    name = str(connection.settings_dict["NAME"])
    if connection.is_in_memory_db():  # type: ignore[attr-defined]
        return
    synchronous = int(_told(connection, "PRAGMA synchronous"))
    if synchronous not in SYNCED:
        yield Error(
            f"SQLite does not wait for the disk (synchronous={synchronous}): after a "
            "power cut scans that were answered can be gone.",
            hint="Let the connection say PRAGMA synchronous=FULL.",
            id="kit.E001",
        )
    if _told(connection, "PRAGMA journal_mode") == "wal" and journal_mode() != "WAL":
        yield Error(
            "The database is in WAL mode, which this SQLite can corrupt "
            "(sqlite.org/wal.html#walresetbug).",
            hint="Stop all that uses it, say PRAGMA journal_mode=DELETE, start again.",
            id="kit.E002",
        )
    if (kind := _file_system(Path(name).absolute())) in FAR:
        yield Error(
            f"The database lies on a network file system ({kind}), where two servers "
            "cannot lock it against each other.",
            hint="Move it to a disk of the server, or use PostgreSQL.",
            id="kit.E004",
        )


def _of_postgresql(connection: BaseDatabaseWrapper) -> Iterator[CheckMessage]:
    off = [name for name in ON if _told(connection, f"SHOW {name}") == "off"]
    if off:
        yield Error(
            f"PostgreSQL is set to forget ({', '.join(off)} off): after a crash scans "
            "that were answered can be gone.",
            hint="Set them to on in postgresql.conf and restart it.",
            id="kit.E003",
        )


def _told(connection: BaseDatabaseWrapper, question: str) -> str:
    with connection.cursor() as cursor:
        cursor.execute(question)
        return str(cursor.fetchone()[0])


def _file_system(path: Path) -> str:
    """Name the kind of file system that a path lies on; empty where nobody tells."""
    if not MOUNTS.exists():
        return ""
    mounts = [line.split()[1:3] for line in MOUNTS.read_text().splitlines()]
    above = [(len(at), kind) for at, kind in mounts if path.is_relative_to(at)]
    return max(above, default=(0, ""))[1]
