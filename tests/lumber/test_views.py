"""Can a delivery be typed in quickly, with what was typed kept when it is wrong?"""

from typing import Any

import pytest
from django.urls import reverse

from tests import make
from tests.desk import client, main_of, page_of, queries_of, sets, text_of
from travelers.lumber.models import Delivery, Piece, Plank, PlankSet, Species, Supplier
from travelers.orders.actions import allot
from travelers.routes.models import WoodNeed

pytestmark = [pytest.mark.django_db, pytest.mark.once]

NEW = "/lumber/new/"
CELLS = ("length_mm", "width_mm", "thickness_mm", "mass_g")


def head(**other: str) -> dict[str, str]:
    return {
        "number": "D26-01",
        "supplier": str(Supplier.objects.get().pk),
        "species": str(Species.objects.get(code="ASH").pk),
        "received_on": "2026-03-09",
        "papers": "note 7",
        "trade_papers": "",
        "rows": "8",
    } | other


def rows(*typed: str) -> dict[str, str]:
    """Lay rows of planks out as the form names them: ``3000 200 60 22000``."""
    return {
        f"plank-{number}-{cell}": value
        for number, row in enumerate(typed, start=1)
        for cell, value in zip(CELLS, row.split(), strict=False)
    }


def planks_of(number: str) -> list[tuple[Any, ...]]:
    return [
        tuple(str(value) for value in row)
        for row in Plank.objects.filter(delivery__number=number)
        .order_by("id")
        .values_list(*CELLS)
    ]


def test_a_delivery_is_taken_in_with_its_planks(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    answer = lead.post(NEW, head() | rows("3000 200 60 22000", "3010,5 198 60 21900"))
    assert answer.url == "/lumber/D26-01/"
    assert planks_of("D26-01") == [
        ("3000.00", "200.00", "60.00", "22000"),
        ("3010.50", "198.00", "60.00", "21900"),
    ]
    page = page_of(lead.get(answer.url))
    assert [plank.number for plank in page.planks] == ["D26-01-01", "D26-01-02"]
    # 22 kg in 3.00 × 0.20 × 0.06 m.
    assert round(page.planks[0].density.kg_m3, 1) == 611.1


def test_rows_between_may_stay_empty_and_a_ditto_repeats(shop: make.Shop) -> None:
    typed = rows("3000 200 60 22000", '3100 " 60,0 ″', "", "2900 198 60 21000")
    answer = client(shop, "planner").post(NEW, head() | typed)
    assert answer.status_code == 302
    assert planks_of("D26-01") == [
        ("3000.00", "200.00", "60.00", "22000"),
        ("3100.00", "200.00", "60.00", "22000"),
        ("2900.00", "198.00", "60.00", "21000"),
    ]


@pytest.mark.twice
def test_forty_planks_come_in_at_once(shop: make.Shop) -> None:
    typed = rows(*(f"{3000 + n} 200 60 22000" for n in range(40)))
    client(shop, "lead").post(NEW, head(rows="40") | typed)
    assert Plank.objects.filter(delivery__number="D26-01").count() == 40


@pytest.mark.parametrize(
    ("row", "cell", "words"),
    [
        ("3000 wide 60 22000", "width_mm", "Type a number alone"),
        ("3000 200 60", "mass_g", "This field is required."),
        ("3000 0 60 22000", "width_mm", "This must be more than 0."),
        ("3000 -5 60 22000", "width_mm", "This must be more than 0."),
        ("3000 1,200.5 60 22000", "width_mm", "one decimal mark"),
        ("3000 20cm 60 22000", "width_mm", "This is asked in mm"),
        ("3000 200.123 60 22000", "width_mm", "at most 2 decimals"),
        ("3000 200 60 22000.5", "mass_g", "a whole number"),
        ("3000 200 60 22", "mass_g", "1 kg/m³ cannot be wood"),
        ("99999 200 60 22000", "length_mm", "at most 20000"),
    ],
)
def test_a_bad_cell_is_named_and_what_was_typed_stays(
    shop: make.Shop, row: str, cell: str, words: str
) -> None:
    typed = head() | rows("3000 200 60 22000", row)
    answer = client(shop, "lead").post(NEW, typed)
    assert answer.status_code == 422
    (fault,) = page_of(answer).faults()
    assert (fault.row, fault.cell) == (2, f"id_plank-2-{cell}")
    assert words in fault.words
    text = text_of(answer)
    assert f'<a href="#id_plank-2-{cell}">Row 2, ' in text
    for value in [*row.split(), "D26-01", "note 7"]:
        assert f'value="{value}"' in text
    assert not Delivery.objects.exists()


def test_a_delivery_of_no_planks_is_asked_again(shop: make.Shop) -> None:
    answer = client(shop, "lead").post(NEW, head())
    assert answer.status_code == 422
    assert "Fill in at least one plank." in text_of(answer)


def test_trade_controlled_wood_asks_for_its_papers(shop: make.Shop) -> None:
    rose = str(Species.objects.get(code="ROSE").pk)
    lead = client(shop, "lead")
    answer = lead.post(NEW, head(species=rose) | rows("3000 200 60 30000"))
    assert answer.status_code == 422
    assert "rosewood" in text_of(answer)
    given = head(species=rose, trade_papers="EU-7") | rows("3000 200 60 30000")
    assert lead.post(NEW, given).status_code == 302


@pytest.mark.parametrize("number", ["D 26", "new", "../x", "-1", "D26/01", ""])
def test_a_number_that_would_lead_nowhere_is_refused(
    shop: make.Shop, number: str
) -> None:
    typed = head(number=number) | rows("3000 200 60 22000")
    answer = client(shop, "lead").post(NEW, typed)
    assert answer.status_code == 422
    assert not Delivery.objects.exists()


def test_a_number_that_is_taken_is_said_at_the_field(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    typed = head() | rows("3000 200 60 22000")
    lead.post(NEW, typed)
    answer = lead.post(NEW, typed)
    assert answer.status_code == 422
    assert "There is a delivery D26-01 already." in text_of(answer)
    assert Plank.objects.count() == 1


def test_more_rows_keep_what_was_typed_and_judge_nothing(shop: make.Shop) -> None:
    typed = head(number="", more="1") | rows("3000 wide 60 22000")
    answer = client(shop, "lead").post(NEW, typed)
    assert answer.status_code == 200
    page = page_of(answer)
    assert (page.count, page.faults()) == (16, [])
    assert 'value="wide"' in text_of(answer)
    assert "errorlist" not in text_of(answer)


def test_rows_grow_to_a_truckload_and_no_further(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    page = page_of(lead.post(NEW, head(rows="118", more="1")))
    assert (page.count, page.may_grow) == (120, False)
    for odd in ("-3", "9999", "x", ""):
        assert 1 <= page_of(lead.post(NEW, head(rows=odd, more="1"))).count <= 120


@pytest.mark.twice
def test_planks_are_added_to_a_delivery(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    lead.post(NEW, head() | rows("3000 200 60 22000"))
    bad = lead.post("/lumber/D26-01/", {"rows": "8"} | rows("3000 x 60 22000"))
    assert bad.status_code == 422
    assert 'value="x"' in text_of(bad)
    lead.post("/lumber/D26-01/", {"rows": "8"} | rows("3100 200 60 22500"))
    numbers = Plank.objects.order_by("id").values_list("number", flat=True)
    assert list(numbers) == ["D26-01-01", "D26-01-02"]


@pytest.mark.parametrize("who", ["joiner", "qa", "engineer"])
def test_who_keeps_no_wood_reads_only(shop: make.Shop, who: str) -> None:
    plank = shop.plank_set().plank
    reader = client(shop, who)
    for url in ("/lumber/", "/lumber/D001/", f"/lumber/plank/{plank.number}/"):
        answer = reader.get(url)
        assert answer.status_code == 200
        assert "<button" not in main_of(answer)
    for url, typed in (
        (NEW, head() | rows("3000 200 60 22000")),
        ("/lumber/D001/", {"rows": "8"} | rows("3000 200 60 22000")),
        (f"/lumber/plank/{plank.number}/", {"what": "other", "count": "1"}),
        (f"/lumber/set/{PlankSet.objects.get().number}/weigh/", {}),
    ):
        assert reader.post(url, typed).status_code == 403
    assert (Plank.objects.count(), PlankSet.objects.count()) == (1, 1)


def test_a_plank_that_is_not_there_says_so(shop: make.Shop) -> None:
    for url in ("/lumber/D9/", "/lumber/plank/D9-01/"):
        assert client(shop, "lead").get(url).status_code == 404
    assert client(shop, "lead").post("/lumber/set/D9-01-B1/weigh/").status_code == 404


def cut(shop: make.Shop, **typed: str) -> tuple[Any, str]:
    url = reverse("lumber:plank", args=[Plank.objects.get().number])
    answer = client(shop, "lead").post(url, typed)
    return answer, text_of(answer)


@pytest.mark.twice
def test_sets_are_cut_for_a_model(shop: make.Shop) -> None:
    shop.plank_set()
    need = WoodNeed.objects.get(branch="NECK")
    page = page_of(client(shop, "lead").get("/lumber/plank/D001-01/"))
    assert [(one.branch, one.fits) for one in page.needs] == [("BODY", 3), ("NECK", 11)]
    answer, _ = cut(shop, what=str(need.pk), count="2")
    assert answer.status_code == 302
    made = PlankSet.objects.filter(purpose="NECK").order_by("id")
    assert [one.number for one in made] == ["D001-01-N2", "D001-01-N3"]
    assert Piece.objects.filter(plank_set__in=made).count() == 2 * need.pieces


@pytest.mark.twice
def test_sets_are_cut_to_other_sizes(shop: make.Shop) -> None:
    shop.plank_set()
    answer, _ = cut(
        shop,
        what="other",
        count="1",
        purpose="BODY",
        pieces="3",
        length_mm="500,5",
        width_mm="60",
        thickness_mm="40",
    )
    assert answer.status_code == 302
    piece = Piece.objects.filter(plank_set__number="D001-01-B2").first()
    assert piece
    assert str(piece.length_mm) == "500.50"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"count": "1"}, "Choose for what the sets are."),
        ({"what": "other", "count": "1"}, "Type a number."),
        ({"what": "999", "count": "1"}, "Select a valid choice"),
        ({"what": "BODY", "count": "many"}, "Type a number alone"),
        ({"what": "BODY", "count": "4"}, "are more wood than plank D001-01 has"),
        ({"what": "BODY", "count": "21"}, "at most 20"),
    ],
)
def test_a_cut_that_cannot_be_is_said_and_kept(
    shop: make.Shop, typed: dict[str, str], words: str
) -> None:
    shop.plank_set()
    if typed.get("what") == "BODY":
        typed = typed | {"what": str(WoodNeed.objects.get(branch="BODY").pk)}
    answer, text = cut(shop, **typed)
    assert answer.status_code == 422
    assert words in text
    assert f'value="{typed["count"]}"' in text
    assert PlankSet.objects.count() == 1


@pytest.mark.twice
def test_masses_are_written_down_and_give_densities(shop: make.Shop) -> None:
    made = shop.plank_set()
    lead = client(shop, "lead")
    url = reverse("lumber:weigh", args=[made.number])
    typed = {f"set-{made.pk}-A": "2700", f"set-{made.pk}-B": "heavy"}
    answer = lead.post(url, typed)
    assert answer.status_code == 422
    assert 'value="2700"' in text_of(answer)
    assert 'value="heavy"' in text_of(answer)
    assert not Piece.objects.filter(mass_g__isnull=False).exists()
    lead.post(url, typed | {f"set-{made.pk}-B": "2750 g"})
    page = page_of(lead.get("/lumber/plank/D001-01/"))
    (seen,) = page.plank.sets
    # 2700 g in 520 × 170 × 50 mm, and 5450 g in two such pieces.
    assert round(seen.pieces[0].density_kg_m3, 1) == 610.9
    assert round(seen.density_kg_m3, 1) == 616.5


@pytest.mark.twice
def test_a_plank_says_what_became_of_its_sets(shop: make.Shop) -> None:
    body = shop.instrument().parts.get(branch="BODY")
    promised = sets(shop, "BODY", 2)[0]
    order = shop.order()
    allot(order_id=order.pk, plank_set_id=promised.pk)
    lead = client(shop, "lead")
    plank = body.plank_set.plank
    page = page_of(lead.get(reverse("lumber:plank", args=[plank.number])))
    assert [(one.order, one.serial) for one in page.sets] == [("W001", "W00001")]
    url = reverse("lumber:plank", args=[promised.plank.number])
    page = page_of(lead.get(url))
    assert [(one.order, one.serial) for one in page.sets] == [("W002", ""), ("", "")]


def test_more_wood_asks_no_more_of_the_database(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    typed = rows(*(f"{3000 + n} 200 60 22000" for n in range(5)))
    lead.post(NEW, head() | typed)
    sets(shop, "BODY", 2)
    urls = ("/lumber/", "/lumber/D26-01/", "/lumber/plank/L001-01/")
    few = [queries_of(lead, url) for url in urls]
    lead.post("/lumber/D26-01/", {"rows": "40"} | rows(*["3000 200 60 22000"] * 40))
    need = WoodNeed.objects.get(branch="BODY")
    for _ in range(2):
        lead.post("/lumber/plank/L001-01/", {"what": str(need.pk), "count": "19"})
    for n in range(50):
        lead.post(NEW, head(number=f"E{n}") | rows("3000 200 60 22000"))
    assert PlankSet.objects.count() == 40
    assert [queries_of(lead, url) for url in urls] == few
