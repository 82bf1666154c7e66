"""Does the sheet for the saw say all that is sawn, on one page, with its cautions?"""

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client

from tests import make
from tests.desk import client
from tests.paper.scanner import sheets, words
from travelers.formulas import tables
from travelers.lumber.actions import Sawn, accept_delivery
from travelers.lumber.models import Species, Supplier
from travelers.paper.documents.plans import CAUTIONS
from travelers.routes.models import WoodNeed

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@pytest.fixture
def joiner(shop: make.Shop) -> Client:
    return client(shop, "joiner")


def asked(**wanted: int) -> dict[str, str]:
    sizes = {"length_mm": "4200", "width_mm": "420", "kerf_mm": "3.2"}
    trims = {"edge_trim_mm": "5", "end_trim_mm": "25"}
    needs = {need.branch: need.pk for need in WoodNeed.objects.all()}
    return sizes | trims | {f"n-{needs[b]}": str(n) for b, n in wanted.items()}


def plank() -> str:
    accept_delivery(
        number="D900",
        supplier_id=Supplier.objects.get().pk,
        species_id=Species.objects.get(code="ASH").pk,
        received_on=date(2026, 1, 5),
        planks=[Sawn(Decimal(4200), Decimal(420), Decimal(60), 65_000)],
    )
    return "D900-01"


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_a_sheet_for_the_saw_is_one_page_with_each_piece(joiner, size) -> None:
    number = plank()
    question = asked(BODY=6, NECK=6)
    plan = joiner.get(f"/lumber/plank/{number}/plan/", question).context["plan"]
    answer = joiner.get(f"/paper/plank/{number}/plan.pdf", question | {"sheet": size})
    assert answer.status_code == 200
    printed = answer.content
    assert len(sheets(printed).pages) == 1
    said = words(printed)
    assert f"Cut plan of plank {number}" in said
    pieces = [piece for section in plan.sections for piece in section.pieces]
    assert len(pieces) >= 12
    for piece in pieces:
        # Once on the drawing, once in its section.
        assert said.count(piece.name) >= 2
    assert "3.2 mm" in said
    assert "Follow local codes and the advice of licensed practice." in said


def test_each_caution_has_the_code_of_the_standard(joiner) -> None:
    number = plank()
    printed = joiner.get(f"/paper/plank/{number}/plan.pdf", asked(BODY=1)).content
    said = words(printed)
    for code, sentence in CAUTIONS:
        assert code in tables.signs()
        assert f"{code} {sentence}" in said


def test_a_question_that_is_none_is_refused(joiner) -> None:
    number = plank()
    for wrong in ({}, asked(BODY=1) | {"kerf_mm": "x"}, asked()):
        assert joiner.get(f"/paper/plank/{number}/plan.pdf", wrong).status_code == 422
    assert joiner.get("/paper/plank/NO-1/plan.pdf", asked(BODY=1)).status_code == 404
