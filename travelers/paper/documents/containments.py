"""How is a containment printed, to walk with and find all of it?"""

from dataclasses import dataclass
from datetime import datetime

from django.utils import translation
from django.utils.translation import gettext

from travelers.paper.documents.press import Press
from travelers.paper.queries import ContainmentSheet


@dataclass(frozen=True, slots=True)
class Printed:
    title: str
    sheet: ContainmentSheet
    at: datetime
    by: str


def containment_sheet(*, sheet: ContainmentSheet, at: datetime, by: str) -> bytes:
    """Print what is held, where it stands, and a box to tick once it is found."""
    with translation.override(sheet.language):
        number = sheet.containment.row.number
        title = gettext("Containment {number}").format(number=number)
        styles = ("paper/paper.css", f"paper/{sheet.size}.css", "paper/containment.css")
        page = Printed(title, sheet, at, by)
        return Press(*styles).print("paper/containment.html", page)
