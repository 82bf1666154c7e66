"""What do the tests of paper print from?"""

from dataclasses import dataclass, replace
from datetime import UTC, datetime

import pytest
from django.db import transaction

from tests import forget
from tests.paper.workshop import serials, tern
from travelers.paper import documents, queries
from travelers.paper.documents import Own
from travelers.paper.queries import CardSheet, LabelSheet, TagSheet, Traveler
from travelers.paper.rules import Printing, Size, Stock

PRINTING = Printing(2, datetime(2026, 3, 10, 8, 30, tzinfo=UTC), "Pia Lindqvaert")


@dataclass(frozen=True)
class Papers:
    """What stands on the papers of an order of three Terns; no row is left of it."""

    travelers: tuple[Traveler, ...]
    tags: TagSheet
    pieces: LabelSheet
    planks: LabelSheet
    cards: CardSheet


@dataclass(frozen=True)
class Prints:
    alone: bytes
    letter: bytes
    batch: bytes


@pytest.fixture(scope="session")
def papers(django_db_setup: None, django_db_blocker) -> Papers:
    # The rows are undone, and their ids used again: no route may stay in memory.
    forget.routes()
    with django_db_blocker.unblock(), transaction.atomic():
        order = tern().order(3)
        chosen = list(serials(order))
        allotted = order.allotments.get(branch="BODY", position=1).plank_set
        form = {"size": Size.A4, "stock": Stock.SHEET}
        found = Papers(
            tuple(queries.travelers(serials=chosen, size=Size.A4)),
            queries.order_tags(number=order.number, serials=chosen, **form),
            queries.piece_labels(number=allotted.number, **form),
            queries.plank_labels(number=allotted.plank.delivery.number, **form),
            queries.station_cards(size=Size.A4),
        )
        transaction.set_rollback(True)
    forget.routes()
    return found


def short(traveler: Traveler) -> Traveler:
    """Leave the first operation of each branch: enough, and quickly printed."""
    sections = tuple(
        replace(section, entries=section.entries[:1])
        for section in traveler.route.sections
    )
    route = replace(
        traveler.route, sections=sections, cautions=traveler.route.cautions[:2]
    )
    return replace(traveler, route=route)


@pytest.fixture(scope="session")
def prints(papers: Papers) -> Prints:
    """Print one traveler on both sheets, and the order's three together."""
    first = papers.travelers[0]
    letter = replace(first, route=replace(first.route, size=Size.LETTER))
    return Prints(
        documents.travelers(owners=[Own(first, PRINTING)]),
        documents.travelers(owners=[Own(letter, PRINTING)]),
        documents.travelers(owners=[Own(one, PRINTING) for one in papers.travelers]),
    )
