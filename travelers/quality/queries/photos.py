"""Which photos does a defect have, and are their files still as they were?"""

from dataclasses import dataclass
from uuid import UUID

from travelers.kit.keeping import find_file
from travelers.kit.refusals import Refused
from travelers.quality.models import DefectPhoto
from travelers.quality.rules import FOLDER, PHOTO_GONE


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo as a page shows it; one that could not be kept has no file."""

    event_id: UUID
    number: int
    is_kept: bool
    width: int
    height: int


def photos_of(*, event_id: UUID) -> tuple[Photo, ...]:
    rows = DefectPhoto.objects.filter(defect__event__event_id=event_id)
    return tuple(
        Photo(event_id, row.number, bool(row.name), row.width, row.height)
        for row in rows.order_by("number")
    )


def find_photo(*, event_id: UUID, number: int) -> tuple[bytes, str]:
    """Read a photo, and give a name under which it can be saved.

    A file that is gone, or is not the one that was stored, is not shown.
    """
    row = (
        DefectPhoto.objects.filter(defect__event__event_id=event_id, number=number)
        .select_related("defect")
        .first()
    )
    if row is None or not row.name:
        raise Refused(PHOTO_GONE)
    content = find_file(row.name, folder=FOLDER, sha256=row.sha256)
    if content is None:
        raise Refused(PHOTO_GONE)
    return content, f"defect-{row.defect_id}-{number}.jpg"
