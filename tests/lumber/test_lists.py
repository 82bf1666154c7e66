"""Does a supplier's list come in without typing, and is each bad cell of it named?"""

from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse

from tests import make
from tests.desk import client, page_of, text_of
from tests.lumber.test_views import NEW, head, planks_of, rows
from travelers.lumber.models import Delivery, Plank

pytestmark = pytest.mark.django_db

HEADS = "Length (mm);Width (mm);Thickness (mm);Mass (kg);Grade\n"


def sent(content: str | bytes, name: str = "list.csv") -> dict[str, Any]:
    given = content.encode() if isinstance(content, str) else content
    return {"list": SimpleUploadedFile(name, given)}


def shown(answer: HttpResponse) -> dict[str, str]:
    """Give what a page's form would send: its rows as they stand in the cells."""
    page = answer.context.get("planks") or page_of(answer)  # type: ignore[attr-defined]
    given = {"rows": str(page.count)}
    for row in page.rows:
        for cell in row.cells:
            given[cell.html_name] = str(cell.value() or "")
    return given


def workbook(*lines: tuple[Any, ...]) -> bytes:
    from openpyxl import Workbook

    book = Workbook()
    for line in lines:
        book.active.append(list(line))
    written = BytesIO()
    book.save(written)
    return written.getvalue()


def test_forty_planks_of_a_list_are_shown_and_then_taken_in(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    lines = "".join(f"{3000 + n};200,5;60;22,1;A\n" for n in range(40))
    preview = lead.post(NEW, head() | sent("\ufeff" + HEADS + lines))
    assert preview.status_code == 200
    assert not Delivery.objects.exists()
    text = text_of(preview)
    assert "40 planks were read from “list.csv”." in text
    assert "Nothing here asks for: Grade." in text
    # What was typed of the delivery still stands there.
    assert 'value="D26-01"' in text
    answer = lead.post(NEW, head() | shown(preview))
    assert answer.status_code == 302
    taken = planks_of("D26-01")
    assert len(taken) == 40
    assert taken[0] == ("3000.00", "200.50", "60.00", "22100")
    assert taken[39] == ("3039.00", "200.50", "60.00", "22100")


def test_planks_of_a_workbook_come_in(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    content = workbook(
        ("Largo", "Ancho", "Grosor (cm)", "Peso"),
        (3000, 200.5, 6, 22000),
        (3010, 198, 6.05, 21900),
    )
    preview = lead.post(NEW, head() | sent(content, "lista.xlsx"))
    lead.post(NEW, head() | shown(preview))
    assert planks_of("D26-01") == [
        ("3000.00", "200.50", "60.00", "22000"),
        ("3010.00", "198.00", "60.50", "21900"),
    ]


def test_planks_of_a_list_are_added_beneath_those_typed(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    lead.post(NEW, head() | rows("3000 200 60 22000"))
    typed = {"rows": "8"} | rows("3100 200 60 22500")
    url = "/lumber/D26-01/"
    preview = lead.post(url, typed | sent(HEADS + "3200;200;60;23;A\n"))
    assert Plank.objects.count() == 1
    lead.post(url, shown(preview))
    assert [row[0] for row in planks_of("D26-01")] == ["3000.00", "3100.00", "3200.00"]


def test_a_list_chosen_but_not_shown_yet_is_not_passed_over(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    typed = head() | rows("3000 200 60 22000")
    answer = lead.post(NEW, typed | sent(HEADS + "3200;200;60;23;A\n"))
    assert not Delivery.objects.exists()
    assert "1 plank was read from" in text_of(answer)


@pytest.mark.parametrize(
    ("cell", "stays", "words"),
    [
        ("wide", "wide", "Type a number alone"),
        ("", "", "This cell is empty."),
        ("2.000", "", "read as 2.000 or as 2000"),
        ("=B1*2", "=B1*2", "holds a formula"),
        ("1.200,5", "1.200,5", "one decimal mark"),
        ("9999", "9999", "at most 2000"),
    ],
)
def test_a_bad_cell_is_named_by_its_row_in_the_list_and_is_not_taken(
    shop: make.Shop, cell: str, stays: str, words: str
) -> None:
    lead = client(shop, "lead")
    lines = f"3000;200;60;22;A\n\n3000;{cell};60;22;A\n"
    preview = lead.post(NEW, head() | sent(HEADS + lines))
    assert preview.status_code == 422
    (fault,) = page_of(preview).faults()
    assert (fault.row, fault.column) == (2, "Width")
    assert words in fault.words
    assert "row 4 of the list" in fault.words
    assert shown(preview)["plank-2-width_mm"] == stays
    again = lead.post(NEW, head() | shown(preview))
    assert again.status_code == 422
    assert not Delivery.objects.exists()
    mended = shown(preview) | {"plank-2-width_mm": "201"}
    assert lead.post(NEW, head() | mended).status_code == 302


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("Length;Width;Mass\n3000;200;22000\n", "This column is missing"),
        ("Length;Width;Width;Thickness;Mass\n1;2;3;4;5\n", "stands here twice"),
        ("no;such;list\n", "No row names the columns"),
        (b"%PDF-1.7\n\x00", "neither a CSV list nor"),
        (HEADS + "3000;200;60;22;A\n" * 121, "more than 120 rows"),
        (HEADS + "x;x;x;x\n" * 60, "And 140 cells more."),
        ("", "This file is empty."),
    ],
)
def test_of_a_list_that_will_not_do_nothing_is_laid_out(
    shop: make.Shop, content: str | bytes, words: str
) -> None:
    lead = client(shop, "lead")
    typed = head() | rows("3100 200 60 22500")
    answer = lead.post(NEW, typed | sent(content))
    assert answer.status_code == 422
    assert words in text_of(answer)
    page = page_of(answer)
    assert page.count == 8
    assert shown(answer)["plank-1-length_mm"] == "3100"
    assert "nothing of it was taken" in text_of(answer)


def test_a_list_must_be_chosen_to_be_shown(shop: make.Shop) -> None:
    answer = client(shop, "lead").post(NEW, head(read="1"))
    assert "Choose a file first." in text_of(answer)


def test_a_list_and_what_is_typed_are_no_more_than_fit(shop: make.Shop) -> None:
    typed = head() | rows("3100 200 60 22500")
    lines = "3000;200;60;22;A\n" * 120
    answer = client(shop, "lead").post(NEW, typed | sent(HEADS + lines))
    assert "121 planks; 120 at once are the most" in text_of(answer)
    assert page_of(answer).count == 8


@pytest.mark.parametrize("who", ["joiner", "qa"])
def test_who_keeps_no_wood_sends_no_list(shop: make.Shop, who: str) -> None:
    given = head() | sent(HEADS + "3000;200;60;22;A\n")
    assert client(shop, who).post(NEW, given).status_code == 403
