"""What stands on the card of a station?"""

from dataclasses import dataclass

from django.conf import settings
from django.http import Http404

from travelers.formulas import codes
from travelers.kit.refusals import Refused
from travelers.paper.queries.travelers import language
from travelers.paper.rules import NOTHING_TO_PRINT, Size
from travelers.shop.models import Stage, Station


@dataclass(frozen=True, slots=True)
class StationCard:
    station: str
    code: str
    link: str
    name: str
    stage: str
    attended: bool
    places: int


@dataclass(frozen=True, slots=True)
class CardSheet:
    """Cards, with the shop's stages from the nut to the bridge."""

    cards: tuple[StationCard, ...]
    stages: tuple[str, ...]
    size: Size
    language: str


def station_card(*, code: str, size: Size) -> CardSheet:
    sheet = _cards(size, code=code)
    if not sheet.cards:
        raise Http404(code)
    return sheet


def station_cards(*, size: Size) -> CardSheet:
    sheet = _cards(size)
    if not sheet.cards:
        raise Refused(NOTHING_TO_PRINT)
    return sheet


def _cards(size: Size, **chosen: str) -> CardSheet:
    stations = (
        Station.objects.filter(**chosen)
        .select_related("stage")
        .order_by("stage__position", "code")
    )
    stages = Stage.objects.order_by("position").values_list("name", flat=True)
    return CardSheet(
        tuple(
            StationCard(
                station.code,
                station.tag,
                codes.link(station.tag, settings.PUBLIC_ORIGIN),
                station.name,
                station.stage.name,
                station.attended,
                station.places,
            )
            for station in stations
        ),
        tuple(stages),
        size,
        language(),
    )
