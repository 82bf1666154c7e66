"""What does a scanner read from a printed sheet?  Two decoders that share nothing."""

import subprocess
import tempfile
from pathlib import Path

import zxingcpp
from PIL import Image
from playwright.sync_api import Page
from pyzbar import pyzbar

# On a busy machine, six sheets.
PRINTED_WITHIN_MS = 60_000


def printed(page: Page, address: str) -> bytes:
    """Print as the person does who is signed in at a page."""
    answer = page.request.get(address, timeout=PRINTED_WITHIN_MS)
    assert answer.body().startswith(b"%PDF"), answer.status
    return answer.body()


def pages(pdf: bytes, *, dpi: int = 200) -> list[Image.Image]:
    """Print a PDF to grey pictures, one a page."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "sheet.pdf"
        source.write_bytes(pdf)
        subprocess.run(
            [
                "pdftoppm",
                "-gray",
                "-r",
                str(dpi),
                str(source),
                str(source.with_suffix("")),
            ],
            check=True,
        )
        return [Image.open(path).copy() for path in sorted(Path(folder).glob("*.pgm"))]


def read_by_zxing(picture: Image.Image) -> set[str]:
    return {
        found.text
        for found in zxingcpp.read_barcodes(
            picture, formats=zxingcpp.BarcodeFormat.QRCode
        )
    }


def read_by_zbar(picture: Image.Image) -> set[str]:
    return {
        found.data.decode()
        for found in pyzbar.decode(picture, symbols=[pyzbar.ZBarSymbol.QRCODE])
    }


def read_by_both(pdf: bytes) -> set[str]:
    """Give the texts of all symbols; both decoders must read the same."""
    by_zxing: set[str] = set()
    by_zbar: set[str] = set()
    for picture in pages(pdf):
        by_zxing |= read_by_zxing(picture)
        by_zbar |= read_by_zbar(picture)
    assert by_zxing == by_zbar
    return by_zxing
