"""How is the sheet of a rework printed?"""

from dataclasses import dataclass

from django.utils import translation
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from travelers.paper.documents.press import Press
from travelers.paper.documents.travelers import ALL_PAGES, THIS_PAGE, Own
from travelers.paper.queries import ReworkSheet


@dataclass(frozen=True, slots=True)
class Added:
    """The sheet as it is laid out, with the head and the foot of a traveler."""

    title: str
    sheet: ReworkSheet
    own: Own
    number: SafeString = THIS_PAGE
    count: SafeString = ALL_PAGES


def rework_sheet(*, sheet: ReworkSheet, own: Own) -> bytes:
    """Print what is done again, to be put to the traveler of the instrument."""
    route = own.traveler.route
    with translation.override(route.language):
        said = gettext("Rework {turn} of {serial}")
        title = said.format(turn=sheet.rework.turn, serial=sheet.rework.serial)
        styles = (
            "paper/paper.css",
            f"paper/{route.size}.css",
            "paper/traveler.css",
            "paper/rework.css",
        )
        return Press(*styles).print("paper/rework.html", Added(title, sheet, own))
