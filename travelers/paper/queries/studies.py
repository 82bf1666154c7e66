"""What stands on the cards of a gauge study?"""

from dataclasses import dataclass

from django.conf import settings

from travelers.formulas import codes
from travelers.paper.queries.travelers import language
from travelers.paper.rules import Size, Stock
from travelers.quality.queries import study_page
from travelers.quality.rules import card_of


@dataclass(frozen=True, slots=True)
class StudyCard:
    """A card that lies beside a part; ``part`` is 0 on the study's own."""

    code: str
    link: str
    part: int
    gauge: str
    characteristic: str


@dataclass(frozen=True, slots=True)
class StudySheet:
    cards: tuple[StudyCard, ...]
    name: str
    size: Size
    stock: Stock
    language: str


def study_cards(*, number: int, size: Size, stock: Stock) -> StudySheet:
    """Give the card of a study and those of its parts."""
    study = study_page(number=number)
    made = [(part, card_of(number, part)) for part in range(study.row.parts + 1)]
    return StudySheet(
        tuple(
            StudyCard(
                code,
                codes.link(code, settings.PUBLIC_ORIGIN),
                part,
                study.gauge,
                study.row.characteristic,
            )
            for part, code in made
        ),
        study.gauge,
        size,
        stock,
        language(),
    )
