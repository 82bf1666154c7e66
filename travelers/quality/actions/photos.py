"""Where are the photos of a defect kept, and what if the disk has no room?"""

from collections.abc import Iterable
from pathlib import Path

from travelers.kit.keeping import keep_file
from travelers.kit.photos import Photo
from travelers.quality.models import Defect, DefectPhoto
from travelers.quality.rules import FOLDER


def keep_photos(*, defect: Defect, photos: Iterable[Photo], files: list[Path]) -> None:
    """Store a defect's photos, and note in ``files`` what has to go if it is undone.

    A photo that the disk has no room for has a row all the same, without a file:
    the defect is never lost for it, and its page says what is missing.
    """
    rows = []
    for number, photo in enumerate(photos, start=1):
        path = keep_file(photo.content, folder=FOLDER, ending="jpg")
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
