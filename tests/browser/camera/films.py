"""What does a tablet's camera see: a symbol held straight, turned, blurred, half lit?

Written as a film that Chromium plays instead of a camera: YUV4MPEG2, the plain format
of mjpegtools (yuv4mpeg(5)), which holds a header and raw frames.
"""

from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageDraw, ImageFilter

from travelers.kit.drawing.symbols import QUIET, matrix

WIDE, HIGH = 1280, 720
BENCH, PAPER, PRINT = 120, 235, 20
# The dark half gets so much of the light.
SHADE = 0.3
FRAMES = 4


@dataclass(frozen=True)
class Held:
    """How a symbol is held before the camera: its side in dots, quiet zone and all."""

    turn: int = 0
    blur: float = 0
    half_lit: bool = False
    side: int = 330
    x: int = WIDE // 2
    y: int = HIGH // 2


def printed(text: str, side: int) -> Image.Image:
    """Print a symbol with its quiet zone."""
    rows = matrix(text)
    drawn = Image.new("L", (len(rows) + 2 * QUIET,) * 2, PAPER)
    for y, row in enumerate(rows):
        for x, dark in enumerate(row):
            if dark:
                drawn.putpixel((x + QUIET, y + QUIET), PRINT)
    return drawn.resize((side, side), Image.Resampling.NEAREST)


def seen(*shown: tuple[str, Held]) -> Image.Image:
    """Give the picture of a bench with symbols on it; light and lens are the last's."""
    picture = Image.new("L", (WIDE, HIGH), BENCH)
    held = Held()
    for text, held in shown:
        paper = printed(text, held.side)
        mask = Image.new("L", paper.size, 255)
        turned = paper.rotate(held.turn, Image.Resampling.BICUBIC, expand=True)
        mask = mask.rotate(held.turn, Image.Resampling.BICUBIC, expand=True)
        corner = (held.x - turned.width // 2, held.y - turned.height // 2)
        picture.paste(turned, corner, mask)
    if held.half_lit:
        lit = Image.new("L", picture.size, 0)
        ImageDraw.Draw(lit).rectangle((held.x, 0, WIDE, HIGH), fill=255)
        dark = picture.point(lambda value: round(value * SHADE))
        picture = Image.composite(picture, dark, lit)
    return picture.filter(ImageFilter.GaussianBlur(held.blur))


def film(path: Path, *pictures: Image.Image, every: int = FRAMES) -> Path:
    """Write pictures one after another, each for so many frames at ten a second."""
    grey = bytes([128]) * (WIDE * HIGH // 2)
    with path.open("wb") as out:
        out.write(b"YUV4MPEG2 W%d H%d F10:1 Ip A1:1 C420jpeg\n" % (WIDE, HIGH))
        for picture in pictures:
            out.write((b"FRAME\n" + picture.tobytes() + grey) * every)
    return path
