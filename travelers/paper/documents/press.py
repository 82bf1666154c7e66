"""How does a template become the bytes of a PDF, from our own files alone?"""

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

from travelers.kit.refusals import Refused
from travelers.paper.rules import CANNOT_PRINT

if TYPE_CHECKING:
    from weasyprint import Document
    from weasyprint.urls import URLFetcher

# A name that no machine can have (RFC 2606), so that nothing is asked of any.
ORIGIN = "https://paper.invalid/static/"
# Marks that turn the direction of reading would turn what stands beside a name, too;
# what has no shape is not printed.
UNPRINTED = (
    *range(0x00, 0x09),
    *range(0x0B, 0x20),
    *range(0x7F, 0xA0),
    0x061C,
    *(0x200E, 0x200F),
    *range(0x202A, 0x202F),
    *range(0x2066, 0x206A),
    *range(0xD800, 0xE000),
    *(0xFEFF, 0xFFFE, 0xFFFF),
)
# The typeface has the Greek letter of the sign for a millionth, not the sign itself.
LETTERS = {
    **dict.fromkeys(UNPRINTED),
    ord("\N{MICRO SIGN}"): "\N{GREEK SMALL LETTER MU}",
}
TYPES = {"css": "text/css", "ttf": "font/ttf"}


class Press:
    """The fonts and style sheets of one print run, read once for all its sheets."""

    def __init__(self, *styles: str) -> None:
        try:
            from weasyprint import CSS
            from weasyprint.text.fonts import FontConfiguration
        except (ImportError, OSError) as missing:
            # It, or one of the libraries of the system that it draws with.
            raise Refused(CANNOT_PRINT) from missing

        self.fetcher = own_files_only()
        self.fonts = FontConfiguration()
        self.styles = [
            CSS(url=f"{ORIGIN}{name}", url_fetcher=self.fetcher, font_config=self.fonts)
            for name in styles
        ]

    def lay(self, template: str, page: Any) -> "Laid":
        """Lay a template out on pages."""
        from weasyprint import HTML

        source = render_to_string(template, {"page": page}).translate(LETTERS)
        html = HTML(string=source, base_url=ORIGIN, url_fetcher=self.fetcher)
        return Laid(
            html.render(font_config=self.fonts, stylesheets=self.styles), source
        )

    def print(self, template: str, page: Any) -> bytes:
        return self.lay(template, page).written()


@dataclass(frozen=True)
class Laid:
    """A document that is laid out and not written yet."""

    document: "Document"
    source: str

    def written(self, *, tagged: bool = True) -> bytes:
        """Write it as a PDF: the same bytes for the same source.

        Tagged as PDF/UA-1; the untagged form is for sheets that lie under others.
        """
        printed = self.document.write_pdf(
            pdf_variant="pdf/ua-1" if tagged else None,
            pdf_identifier=hashlib.sha256(self.source.encode()).digest()[:16],
        )
        return bytes(printed)

    def places(self) -> dict[str, tuple[int, float, float]]:
        """Say of each element with an id on which page it is, and where, in pixels."""
        return {
            name: (number, left, top)
            for number, page in enumerate(self.document.pages)
            for name, (left, top, *_) in page.anchors.items()
        }


def own_files_only() -> "URLFetcher":
    """Make a fetcher that gives our static files and ``data:``, and nothing else."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesOnly(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
            if url.startswith("data:"):
                return super().fetch(url, headers)
            path = own_file(url)
            kind = TYPES.get(path.suffix[1:], "application/octet-stream")
            return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": kind})

    return OwnFilesOnly(timeout=0, allowed_protocols={"data"}, allow_redirects=False)


def own_file(url: str) -> Path:
    """Find the static file that an address of ours means; no other is opened."""
    name = unquote(url.removeprefix(ORIGIN))
    found = finders.find(name) if url.startswith(ORIGIN) else None
    if not (found and Path(found).is_file()):
        raise ValueError(f"Paper uses only the shop's own files, not {url[:80]}.")
    return Path(found)
