"""Which papers has a delivery, and are their files still as they were?"""

from dataclasses import dataclass
from datetime import datetime

from travelers.kit.keeping import find_file
from travelers.kit.papers import PaperKind
from travelers.kit.people import has_one_of
from travelers.kit.refusals import Refused
from travelers.lumber.models import Delivery, DeliveryPaper
from travelers.lumber.rules import FOLDER, PAPER_GONE
from travelers.shop.models import Person
from travelers.shop.rules import Role

# Papers carry prices and names: not for everybody who may see the wood.
PAPER_READERS = (Role.LEAD, Role.PLANNER, Role.QA)


@dataclass(frozen=True, slots=True)
class PaperRow:
    number: int
    title: str
    kind: str
    size: int
    added_at: datetime
    added_by: str


@dataclass(frozen=True, slots=True)
class PaperFile:
    """A paper to be handed out: its bytes, and a name to save it under."""

    content: bytes
    kind: PaperKind
    name: str


def papers_of(*, delivery: Delivery, by: Person) -> tuple[PaperRow, ...] | None:
    """List a delivery's papers; None for whom they are not."""
    if not has_one_of(by, PAPER_READERS):
        return None
    return tuple(
        PaperRow(
            row.number,
            row.title,
            row.kind,
            row.size,
            row.added_at,
            str(row.added_by),
        )
        for row in delivery.files.select_related("added_by").order_by("number")
    )


def find_paper(*, delivery: str, number: int) -> PaperFile:
    row = DeliveryPaper.objects.filter(delivery__number=delivery, number=number).first()
    content = row and find_file(row.name, folder=FOLDER, sha256=row.sha256)
    if not row or not content:
        raise Refused(PAPER_GONE)
    kind = PaperKind(row.kind)
    return PaperFile(content, kind, f"{delivery}-paper-{number}.{kind.lower()}")
