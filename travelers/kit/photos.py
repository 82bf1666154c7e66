"""How is a photo that somebody sent made harmless and small?

What comes in is decoded, turned upright and encoded anew as a plain JPEG: no name,
no place, no camera and nothing hidden behind the picture survives.  The kind is told
by the content, never by the name.
"""

import hashlib
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

from travelers.kit.refusals import Refusal, gettext_noop, refusal

if TYPE_CHECKING:
    from PIL.Image import Image

FORMATS = ("JPEG", "PNG", "WEBP")
MOST_BYTES = 15_000_000
MOST_PIXELS = 40_000_000
# No camera makes a picture this long; files that claim it are made to burst memory.
MOST_SIDE = 12_000
SIDE = 2_000
KEPT_BYTES = 600_000
# Sides and qualities, tried in turn until the file is small enough.
SHRINKING = ((2_000, 85), (2_000, 72), (2_000, 58), (1_600, 55), (1_200, 50), (900, 40))
WHITE = (255, 255, 255)

EMPTY = refusal(
    "kit.photo_empty",
    gettext_noop("The photo “{name}” is empty."),
    gettext_noop("Take it once more, or record without it; all else is still there."),
    status=422,
)
TOO_LARGE = refusal(
    "kit.photo_too_large",
    gettext_noop("The photo “{name}” is larger than 15 MB."),
    gettext_noop("Take it with fewer pixels; all else is still there."),
    status=422,
)
TOO_WIDE = refusal(
    "kit.photo_too_wide",
    gettext_noop("The photo “{name}” has more pixels than can be kept."),
    gettext_noop("Take it with at most 40 million pixels; all else is still there."),
    status=422,
)
UNREADABLE = refusal(
    "kit.photo_unreadable",
    gettext_noop("“{name}” is no photo that can be read, or a part of it is missing."),
    gettext_noop("Send a JPEG, PNG or WebP photo; all else is still there."),
    status=422,
)
TOO_MANY = refusal(
    "kit.photo_too_many",
    gettext_noop("{count} photos are more than are kept here ({most})."),
    gettext_noop("Choose the ones that show it best; all else is still there."),
    status=422,
)


@dataclass(frozen=True, slots=True)
class Photo:
    """A harmless picture, and what identifies its bytes."""

    content: bytes
    sha256: str
    width: int
    height: int


def harmless(content: bytes, *, size: int, name: str) -> Photo | Refusal:
    """Make a photo harmless, or say why it cannot be kept.

    ``size`` is how much was sent; of too much the content was not kept.  ``name`` is
    only told back to who sent it.
    """
    told = " ".join(name.split())[:40]
    if size > MOST_BYTES:
        return TOO_LARGE.about(name=told)
    if not content:
        return EMPTY.about(name=told)
    try:
        return _made_anew(content) or TOO_WIDE.about(name=told)
    # A decoder that is fed with lies may fail in any manner; none is the server's.
    except Exception:
        return UNREADABLE.about(name=told)


def _made_anew(content: bytes) -> Photo | None:
    from PIL import Image, ImageFile, ImageOps

    # What prints the papers lets half a picture pass, for the whole process.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        opened = Image.open(BytesIO(content), formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        return None
    with opened:
        width, height = opened.size
        if width * height > MOST_PIXELS or max(width, height) > MOST_SIDE:
            return None
        # A JPEG may be decoded at a part of its size: that saves time and memory.
        opened.draft("RGB", (2 * SIDE, 2 * SIDE))
        opened.load()
        upright = ImageOps.exif_transpose(opened)
        plain = _plain(upright)
    return _small(plain)


def _plain(picture: "Image") -> "Image":
    """Copy the pixels alone, on white: comments and profiles stay behind."""
    from PIL import Image

    picture.thumbnail((SIDE, SIDE))
    has_alpha = "A" in picture.getbands() or "transparency" in picture.info
    clean = Image.new("RGB", picture.size, WHITE)
    if has_alpha:
        shown = picture.convert("RGBA")
        clean.paste(shown, mask=shown.getchannel("A"))
    else:
        clean.paste(picture.convert("RGB"))
    return clean


def _small(picture: "Image") -> Photo:
    content = b""
    for side, quality in SHRINKING:
        picture.thumbnail((side, side))
        written = BytesIO()
        picture.save(written, "JPEG", quality=quality, optimize=True)
        content = written.getvalue()
        if len(content) <= KEPT_BYTES:
            break
    digest = hashlib.sha256(content).hexdigest()
    return Photo(content, digest, picture.width, picture.height)
