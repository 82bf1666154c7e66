"""How is a file kept beside the database: whole or not at all, and found unchanged?"""

import hashlib
import logging
import os
import secrets
import shutil
from collections.abc import Iterable
from pathlib import Path

from django.conf import settings

log = logging.getLogger(__name__)

# Room that files leave to the ledger: scans go on when files no longer can be kept.
SPARE_BYTES = 64_000_000


def keep_file(content: bytes, *, folder: str, ending: str) -> Path | None:
    """Write a file under a name of its own; None where the disk takes it not."""
    place = Path(settings.MEDIA_ROOT) / folder
    path = place / f"{secrets.token_hex(16)}.{ending}"
    begun = path.with_suffix(".part")
    try:
        place.mkdir(parents=True, exist_ok=True)
        if shutil.disk_usage(place).free < SPARE_BYTES + len(content):
            log.warning("no room for a file of %d bytes", len(content))
            return None
        with begun.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        begun.rename(path)
    except OSError as fault:
        log.warning("a file could not be kept: %s", fault)
        begun.unlink(missing_ok=True)
        return None
    return path


def drop_files(files: Iterable[Path]) -> None:
    """Take away files whose rows were undone."""
    for path in files:
        path.unlink(missing_ok=True)


def find_file(name: str, *, folder: str, sha256: str) -> bytes | None:
    """Read a file; None where it is gone, or is not the one that was kept."""
    try:
        content = (Path(settings.MEDIA_ROOT) / folder / name).read_bytes()
    except OSError:
        return None
    return content if hashlib.sha256(content).hexdigest() == sha256 else None
