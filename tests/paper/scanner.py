"""What does a scanner see of a printed sheet: clean, blurred, tilted or stained?"""

import subprocess
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from random import Random
from typing import Any

import zxingcpp
from PIL import Image, ImageDraw, ImageFilter
from pypdf import PdfReader
from pyzbar import pyzbar

MM_PER_INCH = 25.4
# A print held a little too near: a Gaussian of 0.15 mm on the paper.
BLUR_MM = 0.15
AROUND_MM = 8
TILT = 15
# The widest stain on a sheet, and how dark stains are: coffee, ink, a scraped patch.
STAIN_MM = 40
SHADES = (70, 0, 255)
# What a bench does to a sheet: point 38 of docs/points.md.
FOLD_MM, TILT_HELD, BLUR_PX = 0.6, 10, 1.5
DUST, GREY, BLOT = 0.3, 128, 0.15


@dataclass(frozen=True)
class Seen:
    """A symbol as read: its text, and the corners of its modules in mm."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


def sheets(printed: bytes) -> PdfReader:
    return PdfReader(BytesIO(printed))


def words(printed: bytes, sheet: int | None = None) -> str:
    """Read the words back, in one line; of one sheet or of all."""
    if sheet is not None:
        return _words_of(printed, sheet - 1)
    count = len(sheets(printed).pages)
    return " ".join(_words_of(printed, page) for page in range(count))


@lru_cache(maxsize=40)
def _words_of(printed: bytes, page: int) -> str:
    return " ".join(sheets(printed).pages[page].extract_text().split())


def sizes_of(printed: bytes) -> dict[str, set[float]]:
    """Say in which sizes, in points, each word is set."""
    found: dict[str, set[float]] = defaultdict(set)

    def note(text: str, at: Any, line: Any, font: Any, size: float) -> None:
        for word in text.split():
            found[word.strip(".,;:")].add(abs(size * line[3] * at[3]))

    for page in sheets(printed).pages:
        page.extract_text(visitor_text=note)
    return found


def poppler_words(printed: bytes, sheet: int) -> str:
    """Read the words of a sheet by another reader, which knows rare letters."""
    done = subprocess.run(
        ["pdftotext", "-f", str(sheet), "-l", str(sheet), "-", "-"],
        input=printed,
        check=True,
        capture_output=True,
    )
    return " ".join(done.stdout.decode().split())


@lru_cache(maxsize=40)
def image(printed: bytes, sheet: int, dpi: int) -> Image.Image:
    """Print a sheet on a grey printer of so many dots an inch."""
    one = ["-f", str(sheet), "-l", str(sheet), "-singlefile"]
    drawn = subprocess.run(
        ["pdftoppm", "-r", str(dpi), "-gray", *one, "-"],
        input=printed,
        check=True,
        capture_output=True,
    )
    return Image.open(BytesIO(drawn.stdout)).convert("L")


def blurred(clean: Image.Image, dpi: int) -> Image.Image:
    return clean.filter(ImageFilter.GaussianBlur(BLUR_MM * dpi / MM_PER_INCH))


def tilted(clean: Image.Image) -> Image.Image:
    return clean.rotate(TILT, Image.Resampling.BICUBIC, expand=True, fillcolor=255)


def stained(clean: Image.Image, dpi: int, dice: Random) -> Image.Image:
    """Put one round stain of up to 40 mm anywhere on the sheet."""
    spoilt = clean.copy()
    radius = dice.uniform(STAIN_MM / 4, STAIN_MM) / 2 * dpi / MM_PER_INCH
    x, y = dice.uniform(0, clean.width), dice.uniform(0, clean.height)
    ImageDraw.Draw(spoilt).ellipse(
        (x - radius, y - radius, x + radius, y + radius), fill=dice.choice(SHADES)
    )
    return spoilt


def battered(clean: Image.Image, dpi: int, dice: Random) -> Iterator[Image.Image]:
    """Fold or dust a sheet, blot a symbol; then see its corners tilted and blurred."""
    harm = dice.choice(("fold", "dust", "blot"))
    spoilt = folded(clean, dpi, dice) if harm == "fold" else clean
    for corner, side in zip(corners(spoilt), dice.sample((0, 1), 2), strict=True):
        held = corner
        if harm == "blot" and side:
            held = blotted(corner, dpi, dice)
        if harm == "dust":
            held = dusted(corner, dice)
        turned = held.rotate(
            dice.uniform(-TILT_HELD, TILT_HELD), Image.Resampling.BICUBIC, fillcolor=255
        )
        yield turned.filter(ImageFilter.GaussianBlur(BLUR_PX))


def folded(clean: Image.Image, dpi: int, dice: Random) -> Image.Image:
    """Fold a sheet from edge to edge through some point of one of its symbols."""
    spoilt = clean.copy()
    one = dice.choice(
        [found for found in seen(clean, dpi) if _is_own(found, clean, dpi)]
    )
    x, y = (
        dice.uniform(low, high) * dpi / MM_PER_INCH
        for low, high in ((one.left, one.right), (one.top, one.bottom))
    )
    slope = dice.choice((-1, 1)) * dice.uniform(0.5, 2)
    ends = [(x - 4000, y - 4000 * slope), (x + 4000, y + 4000 * slope)]
    wide = round(FOLD_MM * dpi / MM_PER_INCH)
    # The ink has gone where paper was bent, and dirt sits beside it.
    pen = ImageDraw.Draw(spoilt)
    pen.line(ends, fill=200, width=2 * wide)
    pen.line(ends, fill=255, width=wide)
    return spoilt


def _is_own(one: Seen, sheet: Image.Image, dpi: int) -> bool:
    """Tell the sheet's own two symbols, in its corners, from those of its parts."""
    wide = sheet.width * MM_PER_INCH / dpi
    return one.right < wide / 4 or one.left > wide * 3 / 4


def dusted(corner: Image.Image, dice: Random) -> Image.Image:
    """Let grey dust lie on so much of a corner."""
    dust = Image.frombytes(
        "L", corner.size, dice.randbytes(corner.width * corner.height)
    )
    lies = dust.point([255 if level < DUST * 256 else 0 for level in range(256)])
    grey = Image.new("L", corner.size, GREY)
    return Image.composite(grey, corner, lies)


def blotted(corner: Image.Image, dpi: int, dice: Random) -> Image.Image:
    """Blot so much of a symbol's modules, in one piece, anywhere on it."""
    spoilt = corner.copy()
    (one, *_) = seen(corner, dpi)
    dots = dpi / MM_PER_INCH
    side = (one.right - one.left) * BLOT**0.5
    x = dice.uniform(one.left, one.right - side) * dots
    y = dice.uniform(one.top, one.bottom - side) * dots
    spoilt.paste(
        dice.choice(SHADES), tuple(map(round, (x, y, x + side * dots, y + side * dots)))
    )  # type: ignore[arg-type]
    return spoilt


def corners(sheet: Image.Image) -> Iterator[Image.Image]:
    """Hold the scanner to the head's symbol, then to the foot's."""
    wide, high = sheet.width // 2, sheet.height // 3
    yield sheet.crop((0, 0, wide, high))
    yield sheet.crop((sheet.width - wide, sheet.height - high, *sheet.size))


def read_zxing(sheet: Image.Image) -> list[str]:
    kind = zxingcpp.BarcodeFormat.QRCode
    return sorted(one.text for one in zxingcpp.read_barcodes(sheet, formats=kind))


def read_zbar(sheet: Image.Image) -> list[str]:
    kinds = [pyzbar.ZBarSymbol.QRCODE]
    return sorted(one.data.decode() for one in pyzbar.decode(sheet, symbols=kinds))


def seen(sheet: Image.Image, dpi: int) -> list[Seen]:
    """Read the symbols with where they stand, to half a dot."""
    mm = MM_PER_INCH / dpi
    found = []
    for one in zxingcpp.read_barcodes(sheet, formats=zxingcpp.BarcodeFormat.QRCode):
        at = one.position
        found.append(
            Seen(
                one.text,
                at.top_left.x * mm,
                at.top_left.y * mm,
                at.bottom_right.x * mm,
                at.bottom_right.y * mm,
            )
        )
    return found


def aimed(sheet: Image.Image, one: Seen, dpi: int) -> Image.Image:
    """Hold the scanner to one symbol, with what is printed close by."""
    sides = (one.left, one.top, one.right, one.bottom)
    signs = (-1, -1, 1, 1)
    left, top, right, bottom = (
        round((side + sign * AROUND_MM) * dpi / MM_PER_INCH)
        for side, sign in zip(sides, signs, strict=True)
    )
    return sheet.crop(
        (max(left, 0), max(top, 0), min(right, sheet.width), min(bottom, sheet.height))
    )


def survives(sheet: Image.Image, text: str, dpi: int) -> tuple[bool, bool]:
    """Say of each reader whether it reads one of a sheet's two symbols, blurred."""
    held = [blurred(corner, dpi) for corner in corners(sheet)]
    return (
        any(text in read_zxing(corner) for corner in held),
        any(text in read_zbar(corner) for corner in held),
    )
