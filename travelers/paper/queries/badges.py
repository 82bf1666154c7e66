"""What stands on somebody's badge?"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.conf import settings

from travelers.paper.queries.travelers import language
from travelers.paper.rules import Size, Stock
from travelers.shop.models import Person


@dataclass(frozen=True, slots=True)
class Badge:
    name: str
    number: str
    roles: tuple[str, ...]
    link: str


@dataclass(frozen=True, slots=True)
class BadgeSheet:
    """Badges with the secrets that were made for them and are kept nowhere."""

    badges: tuple[Badge, ...]
    size: Size
    stock: Stock
    language: str


def badge_sheet(*, made: Mapping[Person, str], size: Size, stock: Stock) -> BadgeSheet:
    return BadgeSheet(
        tuple(
            Badge(
                str(person),
                person.number or "",
                tuple(person.roles),
                f"{settings.PUBLIC_ORIGIN}/B/{secret}",
            )
            for person, secret in made.items()
        ),
        size,
        stock,
        language(),
    )
