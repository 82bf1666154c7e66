"""On which ground is measured?  A database of its own, thrown away afterwards."""

import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PLAIN_STATIC = "django.contrib.staticfiles.storage.StaticFilesStorage"


@contextmanager
def database() -> Iterator[dict[str, str]]:
    """Start the shop on an empty database: that of DATABASE_URL, or a new file."""
    with tempfile.TemporaryDirectory() as folder:
        environment = environment_of(f"sqlite:///{Path(folder) / 'bench.sqlite3'}")
        environment["DJANGO_SETTINGS_MODULE"] = "shopfloor.settings"
        os.environ.update(environment)
        migrate()
        yield environment


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
