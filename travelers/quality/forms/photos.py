"""Can what was sent as photos be kept?"""

from collections.abc import Sequence

from django.core.files.uploadedfile import UploadedFile

from travelers.kit.photos import TOO_MANY, Photo, harmless
from travelers.kit.refusals import Refusal
from travelers.quality.rules import MOST_PHOTOS


def photos_in(files: "Sequence[UploadedFile[bytes]]") -> tuple[Photo, ...] | Refusal:
    """Make each photo harmless, or say what is wrong with the first that cannot be."""
    if len(files) > MOST_PHOTOS:
        return TOO_MANY.about(count=str(len(files)), most=str(MOST_PHOTOS))
    photos = []
    for file in files:
        made = harmless(file.read(), size=file.size or 0, name=file.name or "")
        if isinstance(made, Refusal):
            return made
        photos.append(made)
    return tuple(photos)
