"""How is the digest printed, to lie on the table on Monday?"""

from dataclasses import dataclass

from django.utils import formats, translation
from django.utils.translation import gettext

from travelers.paper.documents.press import Press
from travelers.paper.queries import Digest


@dataclass(frozen=True, slots=True)
class Printed:
    title: str
    digest: Digest


def digest_sheet(*, digest: Digest) -> bytes:
    """Print what the meeting looks at, on two sheets at most."""
    with translation.override(digest.language):
        day = formats.date_format(digest.day, "j M Y")
        title = gettext("Digest of {day}").format(day=day)
        styles = ("paper/paper.css", f"paper/{digest.size}.css")
        press = Press(*styles, "paper/digest_sheet.css")
        return press.print("paper/digest_sheet.html", Printed(title, digest))
