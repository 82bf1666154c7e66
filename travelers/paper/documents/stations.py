"""How is a station's card printed, to hang where people scan?"""

from dataclasses import dataclass

from django.utils import translation
from django.utils.translation import gettext

from travelers.paper.documents.press import Press
from travelers.paper.queries import CardSheet


@dataclass(frozen=True, slots=True)
class Cards:
    title: str
    sheet: CardSheet


def station_cards(*, sheet: CardSheet) -> bytes:
    """Print a sheet for each station."""
    with translation.override(sheet.language):
        names = ", ".join(card.station for card in sheet.cards)
        title = gettext("Station cards: {names}").format(names=names)
        styles = ("paper/paper.css", f"paper/{sheet.size}.css", "paper/stations.css")
        return Press(*styles).print("paper/stations.html", Cards(title, sheet))
