"""What stands on the list by which contained parts are looked for?"""

from dataclasses import dataclass

from travelers.paper.queries.travelers import language
from travelers.paper.rules import Size
from travelers.quality.queries import ContainmentPage, containment_page


@dataclass(frozen=True, slots=True)
class ContainmentSheet:
    containment: ContainmentPage
    size: Size
    language: str


def containment_sheet(*, number: int, size: Size) -> ContainmentSheet:
    """Give a containment as it is now, in the shop's language."""
    return ContainmentSheet(containment_page(number=number), size, language())
