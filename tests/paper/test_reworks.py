"""Does the sheet of a rework hold what is done again, and only that?"""

import pytest
from django.test import Client
from django.urls import reverse

from tests import make
from tests.paper.scanner import sheets, words
from tests.quality.test_actions import defect_of, operation, settle
from travelers.formulas import codes
from travelers.paper.models import Sheet
from travelers.paper.rules import Size
from travelers.quality.rules import Decision

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def test_it_says_why_and_holds_the_lines_that_come_again() -> None:
    shop = make.shop()
    one = shop.instrument()
    body = shop.part(one)
    shop.work(body, until="Inspect body")
    step = shop.step_of(body)
    assert step
    defect = defect_of(shop, step, kind="RUN")
    client = Client()
    client.force_login(shop.cast.lead)
    address = reverse("paper:rework_sheet", args=[defect.pk])
    undecided = client.get(address)
    assert (undecided.status_code, Sheet.objects.count()) == (409, 0)
    settle(shop, defect, Decision.REWORK, from_operation_id=operation("Lacquer").pk)
    for copy, size in enumerate(Size, start=1):
        printed = client.get(address, {"sheet": size.value}).content
        said = words(printed)
        assert len(sheets(printed).pages) == 1
        for word in (
            one.serial,
            codes.grouped(body.code),
            "rework 1",
            "found at Inspect body",
            "looked at it",
            "Lacquer",
            "Cure",
            "lies at least 20 d",
            f"Copy {copy}",
        ):
            assert word in said
        for word in ("Saw", "Glue", "Machine", "Fret"):
            assert word not in said
    rows = Sheet.objects.values_list("paper", "of", "instrument__serial")
    assert set(rows) == {("REWORK_SHEET", one.serial, one.serial)}
