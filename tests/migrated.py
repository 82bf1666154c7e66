"""How does a database that many work on at once get its tables but once?"""

import fcntl
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.db import connection


@contextmanager
def by_the_first(folder: Path) -> Iterator[None]:
    """Let the first who comes migrate its own; the others get a copy of that.

    The block makes the tests' database. Who comes while it is made waits.
    """
    with (folder / "migrated").open("a+") as told:
        fcntl.flock(told, fcntl.LOCK_EX)
        told.seek(0)
        if name := told.read():
            fcntl.flock(told, fcntl.LOCK_UN)
            _copy_from(name)
            yield
        else:
            yield
            told.write(_kept())
            told.flush()


def _kept() -> str:
    """Keep a copy of the tests' database as it is, and say what it is called."""
    # PostgreSQL copies only what nobody is looking at.
    connection.close()
    connection.creation.clone_test_db(suffix="migrated")
    told = connection.creation.get_test_db_clone_settings("migrated")
    return str(told["NAME"])


def _copy_from(name: str) -> None:
    if connection.vendor == "postgresql":
        connection.settings_dict["TEST"]["TEMPLATE"] = name
        return

    def copied(*_how: Any, **_known: Any) -> str:
        own = str(connection.settings_dict["TEST"]["NAME"])
        return str(shutil.copyfile(name, own))

    connection.creation._create_test_db = copied  # type: ignore[method-assign]
