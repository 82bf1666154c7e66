"""S13: is what is no photo refused, and what is one made harmless and small?"""

import struct
import warnings
import zlib
from io import BytesIO

import pytest
from PIL import Image, PngImagePlugin

from travelers.kit.photos import (
    KEPT_BYTES,
    MOST_BYTES,
    SIDE,
    Photo,
    harmless,
)
from travelers.kit.refusals import Refusal

SECRET = b"a secret place"


def picture(
    size: tuple[int, int] = (640, 480),
    kind: str = "JPEG",
    mode: str = "RGB",
    **more: object,
) -> bytes:
    """Make a picture that is dark at its left and light at its right."""
    made = Image.linear_gradient("L").rotate(90).resize(size).convert(mode)
    written = BytesIO()
    made.save(written, kind, **more)
    return written.getvalue()


def noise(size: tuple[int, int]) -> bytes:
    written = BytesIO()
    Image.effect_noise(size, 120).convert("RGB").save(written, "JPEG", quality=97)
    return written.getvalue()


def exif(orientation: int = 1) -> bytes:
    data = Image.Exif()
    data[0x0112] = orientation
    data[0x010E] = SECRET.decode()
    gps = data.get_ifd(0x8825)
    gps[1], gps[2] = "N", (52.0, 31.0, 12.0)
    return data.tobytes()


def png_that_claims(width: int, height: int) -> bytes:
    """Make a PNG of a few bytes that claims to be huge."""

    def chunk(name: bytes, data: bytes) -> bytes:
        check = zlib.crc32(name + data)
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", check)

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    pixels = zlib.compress(b"\0" * 10_000)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", pixels)
        + chunk(b"IEND", b"")
    )


def gif() -> bytes:
    return picture((8, 8), "GIF", "P")


def kept(content: bytes) -> Photo:
    made = harmless(content, size=len(content), name="a.jpg")
    assert isinstance(made, Photo), made
    return made


def opened(photo: Photo) -> Image.Image:
    shown = Image.open(BytesIO(photo.content))
    assert shown.format == "JPEG"
    shown.load()
    return shown


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HTML = b"<!doctype html><script>alert(1)</script>"
BAD: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "kit.photo_empty"),
    "html": (HTML, "kit.photo_unreadable"),
    "html of a photo's name": (b"\n" * 600 + HTML, "kit.photo_unreadable"),
    "svg": (SVG, "kit.photo_unreadable"),
    "svg, declared": (b'<?xml version="1.0"?>' + SVG, "kit.photo_unreadable"),
    "gif": (gif(), "kit.photo_unreadable"),
    "gif that is a script": (
        b"GIF89a/*" + gif()[8:] + b"*/=1;alert(1)",
        "kit.photo_unreadable",
    ),
    "bmp": (picture((8, 8), "BMP"), "kit.photo_unreadable"),
    "tiff": (picture((8, 8), "TIFF"), "kit.photo_unreadable"),
    "ico": (picture((16, 16), "ICO"), "kit.photo_unreadable"),
    "ppm": (picture((8, 8), "PPM"), "kit.photo_unreadable"),
    "eps": (picture((8, 8), "EPS"), "kit.photo_unreadable"),
    "pdf": (b"%PDF-1.7\n1 0 obj", "kit.photo_unreadable"),
    "zip": (b"PK\x03\x04" + b"\0" * 60, "kit.photo_unreadable"),
    "program": (b"MZ" + b"\0" * 200, "kit.photo_unreadable"),
    "text": (b"clamp on the left side", "kit.photo_unreadable"),
    "nul": (b"\0" * 5_000, "kit.photo_unreadable"),
    "jpeg, head only": (b"\xff\xd8\xff\xe0", "kit.photo_unreadable"),
    "jpeg, cut off": (picture()[:2_000], "kit.photo_unreadable"),
    "jpeg, cut early": (picture()[:40], "kit.photo_unreadable"),
    "png, cut off": (picture(kind="PNG")[:200], "kit.photo_unreadable"),
    "png, head only": (b"\x89PNG\r\n\x1a\n", "kit.photo_unreadable"),
    "png, no pixels": (png_that_claims(3_000, 3_000), "kit.photo_unreadable"),
    "webp, cut off": (picture(kind="WEBP")[:60], "kit.photo_unreadable"),
    "webp, head only": (b"RIFF\x10\0\0\0WEBPVP8 ", "kit.photo_unreadable"),
    "long and thin": (png_that_claims(30_000, 1), "kit.photo_too_wide"),
    "high and thin": (png_that_claims(1, 30_000), "kit.photo_too_wide"),
    "41 million pixels": (png_that_claims(6_400, 6_407), "kit.photo_too_wide"),
    "100 million pixels": (png_that_claims(10_000, 10_000), "kit.photo_too_wide"),
    "400 million pixels": (png_that_claims(20_000, 20_000), "kit.photo_too_wide"),
    "no pixels at all": (png_that_claims(0, 0), "kit.photo_unreadable"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_is_no_photo_is_refused_in_words(name: str) -> None:
    content, code = BAD[name]
    made = harmless(content, size=len(content), name=f"{name}.jpg")
    assert isinstance(made, Refusal)
    assert made.code == code
    assert made.words["name"] == f"{name}.jpg"


def test_the_corpus_is_large_enough() -> None:
    assert len(BAD) >= 30


def test_a_bomb_is_refused_where_warnings_are_no_faults() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for name in ("100 million pixels", "400 million pixels"):
            content, code = BAD[name]
            made = harmless(content, size=len(content), name="bomb")
            assert isinstance(made, Refusal)
            assert made.code == code


def test_more_than_15_mb_is_refused_by_its_size_alone() -> None:
    made = harmless(b"", size=MOST_BYTES + 1, name="x" * 300)
    assert isinstance(made, Refusal)
    assert made.code == "kit.photo_too_large"
    assert len(made.words["name"]) == 40


@pytest.mark.parametrize(
    ("kind", "mode"),
    [
        ("JPEG", "RGB"), ("JPEG", "L"), ("JPEG", "CMYK"), ("PNG", "RGBA"),
        ("PNG", "P"), ("PNG", "1"), ("PNG", "LA"), ("WEBP", "RGB"), ("WEBP", "RGBA"),
    ],
)  # fmt: skip
def test_every_kind_becomes_a_plain_jpeg(kind: str, mode: str) -> None:
    photo = kept(picture(kind=kind, mode=mode))
    shown = opened(photo)
    assert (shown.mode, shown.size) == ("RGB", (640, 480))
    assert (photo.width, photo.height) == (640, 480)


def test_nothing_is_left_of_place_camera_and_comment() -> None:
    content = picture(exif=exif(), comment=SECRET, icc_profile=b"\0" * 128 + SECRET)
    assert SECRET in content
    photo = kept(content)
    shown = opened(photo)
    assert SECRET not in photo.content
    assert dict(shown.getexif()) == {}
    assert not {"exif", "comment", "icc_profile", "xmp"} & shown.info.keys()
    words = PngImagePlugin.PngInfo()
    words.add_text("Comment", SECRET.decode())
    assert SECRET not in kept(picture(kind="PNG", pnginfo=words)).content


def test_what_hangs_behind_the_picture_is_cut_off() -> None:
    """A file that is a picture and something else at once is only a picture."""
    assert HTML not in kept(picture() + HTML).content
    assert HTML not in kept(picture(kind="PNG") + b"PK\x03\x04" + HTML).content


@pytest.mark.parametrize(
    ("orientation", "turned"), [(1, 0), (3, 180), (6, 270), (8, 90)]
)
def test_a_photo_is_turned_upright(orientation: int, turned: int) -> None:
    shown = opened(kept(picture(exif=exif(orientation))))
    plain = Image.open(BytesIO(picture())).rotate(turned, expand=True)
    assert shown.size == plain.size
    corners = [(5, 5), (shown.width - 5, shown.height - 5)]
    for corner in corners:
        ours, wanted = shown.getpixel(corner), plain.getpixel(corner)
        assert abs(ours[0] - wanted[0]) < 12  # type: ignore[index]


def test_a_large_photo_becomes_small() -> None:
    photo = kept(picture((6_000, 4_000)))
    assert (photo.width, photo.height) == (SIDE, round(SIDE * 4_000 / 6_000))
    assert len(photo.content) <= KEPT_BYTES


def test_even_noise_becomes_small_enough() -> None:
    photo = kept(noise((3_000, 2_400)))
    assert len(photo.content) <= KEPT_BYTES
    assert max(photo.width, photo.height) >= 900


def test_a_small_photo_is_not_made_larger() -> None:
    assert (kept(picture((30, 20))).width, kept(picture((1, 1))).width) == (30, 1)


def test_the_same_photo_has_the_same_digest() -> None:
    content = picture(exif=exif(6))
    assert kept(content) == kept(content)
    assert kept(content).sha256 != kept(picture()).sha256
