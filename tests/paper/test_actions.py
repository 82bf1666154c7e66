"""Is every printed sheet written down, with its copy, whoever prints at once?"""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction

from tests import make
from tests.make import MORNING
from travelers.paper.actions import record_sheets
from travelers.paper.models import Sheet
from travelers.paper.rules import Paper, Printing


@pytest.mark.django_db
def test_the_first_print_is_copy_one_and_a_reprint_the_next() -> None:
    shop = make.shop()
    one, other = shop.instruments(2)
    planner, lead = shop.cast.planner, shop.cast.lead
    first = record_sheets(
        paper=Paper.TRAVELER, of=[one.serial, other.serial], by=planner, at=MORNING
    )
    later = MORNING + timedelta(days=3)
    again = record_sheets(paper=Paper.TRAVELER, of=[one.serial], by=lead, at=later)
    assert first == {
        one.serial: Printing(1, MORNING, "Planner Cast"),
        other.serial: Printing(1, MORNING, "Planner Cast"),
    }
    assert again == {one.serial: Printing(2, later, "Lead Cast")}
    rows = Sheet.objects.order_by("printed_at", "of").values_list(
        "paper", "of", "instrument__serial", "copy", "printed_at", "printed_by"
    )
    assert list(rows) == [
        ("TRAVELER", one.serial, one.serial, 1, MORNING, planner.pk),
        ("TRAVELER", other.serial, other.serial, 1, MORNING, planner.pk),
        ("TRAVELER", one.serial, one.serial, 2, later, lead.pk),
    ]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("paper", "of"),
    [
        (Paper.TAGS, "W001"),
        (Paper.PIECE_LABELS, "D001-01-B1"),
        (Paper.PLANK_LABELS, "D001"),
        (Paper.STATION_CARD, "SAW"),
    ],
)
def test_every_paper_counts_its_own_copies(paper: Paper, of: str) -> None:
    shop = make.shop()
    shop.instrument()
    for copy in (1, 2):
        printed = record_sheets(paper=paper, of=[of], by=shop.cast.lead, at=MORNING)
        assert printed[of].copy == copy
    assert Sheet.objects.filter(instrument__isnull=True).count() == 2


@pytest.mark.django_db
def test_a_copy_cannot_be_written_twice() -> None:
    shop = make.shop()
    record_sheets(paper=Paper.STATION_CARD, of=["SAW"], by=shop.cast.lead, at=MORNING)
    with pytest.raises(IntegrityError), transaction.atomic():
        Sheet.objects.create(
            paper=Paper.STATION_CARD,
            of="SAW",
            copy=1,
            printed_at=MORNING,
            printed_by=shop.cast.lead,
        )


@pytest.mark.django_db(transaction=True)
def test_two_prints_at_once_get_two_copies() -> None:
    shop = make.shop()
    serial = shop.instrument().serial

    def printed(_turn: int) -> int:
        try:
            done = record_sheets(
                paper=Paper.TRAVELER, of=[serial], by=shop.cast.lead, at=MORNING
            )
            return done[serial].copy
        finally:
            connection.close()

    with ThreadPoolExecutor(6) as prints:
        copies = list(prints.map(printed, range(12)))
    assert sorted(copies) == list(range(1, 13))
