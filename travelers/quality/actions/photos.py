"""Where are the photos of a defect kept, and what if the disk has no room?"""

import logging
import os
import secrets
import shutil
from collections.abc import Iterable
from pathlib import Path

from django.conf import settings

from travelers.kit.photos import Photo
from travelers.quality.models import Defect, DefectPhoto

log = logging.getLogger(__name__)

# Room that photos leave to the ledger: scans go on when photos no longer can.
SPARE_BYTES = 64_000_000


def keep_photos(*, defect: Defect, photos: Iterable[Photo], files: list[Path]) -> None:
    """Store a defect's photos, and note in ``files`` what has to go if it is undone.

    A photo that the disk has no room for has a row all the same, without a file:
    the defect is never lost for it, and its page says what is missing.
    """
    rows = []
    for number, photo in enumerate(photos, start=1):
        path = _write(photo.content)
        if path:
            files.append(path)
        rows.append(
            DefectPhoto(
                defect=defect,
                number=number,
                name=path.name if path else "",
                sha256=photo.sha256,
                size=len(photo.content),
                width=photo.width,
                height=photo.height,
            )
        )
    DefectPhoto.objects.bulk_create(rows)


def drop(files: Iterable[Path]) -> None:
    """Take away files whose rows were undone."""
    for path in files:
        path.unlink(missing_ok=True)


def _write(content: bytes) -> Path | None:
    """Write a file under a name of its own, whole or not at all."""
    folder = Path(settings.MEDIA_ROOT) / "defects"
    path = folder / f"{secrets.token_hex(16)}.jpg"
    begun = path.with_suffix(".part")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if shutil.disk_usage(folder).free < SPARE_BYTES + len(content):
            log.warning("no room for a photo of %d bytes", len(content))
            return None
        with begun.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        begun.rename(path)
    except OSError as fault:
        log.warning("a photo could not be kept: %s", fault)
        begun.unlink(missing_ok=True)
        return None
    return path
