"""Who may print what, and what does the shop answer?"""

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests import make
from tests.make import Shop
from tests.paper.scanner import image, read_zxing, sheets, words
from travelers.floor.actions import take_batch_in
from travelers.formulas import codes
from travelers.lumber.actions import accept_delivery
from travelers.lumber.models import Species, Supplier
from travelers.paper import documents, rules
from travelers.paper.models import Sheet
from travelers.paper.rules import Size, Stock
from travelers.quality.actions import Planned, begin_study
from travelers.quality.rules import read_card
from travelers.routes.models import Characteristic, Material

pytestmark = [pytest.mark.django_db, pytest.mark.once]
OFFICE = {"planner", "lead", "qa", "engineer", "admin"}
BENCH = OFFICE | {"joiner"}


@pytest.fixture
def shop() -> Shop:
    shop = make.shop()
    shop.instruments(2)
    return shop


@pytest.fixture
def printed(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """Catch what would be printed: who may print is asked here, not how it looks."""
    caught: dict[str, Any] = {}
    for name in ("travelers", "tags", "labels", "badges", "station_cards"):

        def catch(*, name: str = name, **paper: Any) -> bytes:
            caught[name] = paper
            return b"%PDF"

        monkeypatch.setattr(documents, name, catch)
    return caught


def client_of(shop: Shop, who: str) -> Client:
    client = Client()
    client.force_login(shop.cast.people[who])
    return client


ADDRESSES = {
    "traveler": (("paper:traveler", "W00001"), BENCH),
    "order_travelers": (("paper:order_travelers", "W001"), OFFICE),
    "order_tags": (("paper:order_tags", "W001"), OFFICE),
    "piece_labels": (("paper:piece_labels", "D001-01-B1"), BENCH),
    "delivery_labels": (("paper:delivery_labels", "D001"), BENCH),
    "station_card": (("paper:station_card", "SAW"), OFFICE),
    "station_cards": (("paper:station_cards",), OFFICE),
}


@pytest.mark.parametrize("name", ADDRESSES)
def test_only_the_roles_that_print_it_get_a_paper(
    shop: Shop, printed: dict[str, Any], name: str
) -> None:
    (address, *given), may = ADDRESSES[name]
    url = reverse(address, args=given)
    for who in shop.cast.people:
        answer = client_of(shop, who).get(url)
        allowed = who in may or (who == "finisher" and "joiner" in may)
        assert answer.status_code == (200 if allowed else 403), who
    assert Client().get(url).status_code == 302


def test_a_selection_is_for_the_office(shop: Shop, printed: dict[str, Any]) -> None:
    url = reverse("paper:selection")
    for who in shop.cast.people:
        client = client_of(shop, who)
        status = 200 if who in OFFICE else 403
        assert client.get(url, {"serial": "W00001"}).status_code == status
        assert client.post(url, {"serial": "W00001"}).status_code == status


def test_who_may_not_print_leaves_no_row(shop: Shop) -> None:
    client_of(shop, "outsider").get(reverse("paper:traveler", args=["W00001"]))
    client_of(shop, "joiner").post(reverse("paper:selection"), {"serial": "W00001"})
    assert not Sheet.objects.exists()


@pytest.mark.twice
def test_a_traveler_comes_as_a_pdf_and_is_written_down(shop: Shop) -> None:
    client = client_of(shop, "planner")
    url = reverse("paper:traveler", args=["W00001"])
    for copy in (1, 2):
        answer = client.get(url)
        assert answer.status_code == 200
        assert answer.headers["Content-Type"] == "application/pdf"
        assert (
            answer.headers["Content-Disposition"]
            == 'inline; filename="traveler-W00001.pdf"'
        )
        assert "no-store" in answer.headers["Cache-Control"]
        said = words(answer.content)
        assert "W00001" in said
        assert f"Copy {copy}" in said
        assert "by Planner Cast" in said
    rows = Sheet.objects.order_by("copy").values_list("paper", "of", "copy")
    assert list(rows) == [("TRAVELER", "W00001", 1), ("TRAVELER", "W00001", 2)]


def test_an_order_prints_its_travelers_together(shop: Shop) -> None:
    answer = client_of(shop, "planner").get(
        reverse("paper:order_travelers", args=["W001"]), {"sheet": "letter"}
    )
    said = words(answer.content)
    assert "W00001" in said
    assert "W00002" in said
    box = sheets(answer.content).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (612, 792)
    assert Sheet.objects.count() == 2


def test_what_was_chosen_is_printed(shop: Shop, printed: dict[str, Any]) -> None:
    client = client_of(shop, "lead")
    url = reverse("paper:selection")
    for answer in (
        client.post(url, {"serial": ["W00002", "W00001"], "sheet": "letter"}),
        client.get(url, {"serial": ["W00002", "W00001"], "sheet": "letter"}),
    ):
        assert answer.status_code == 200
        owners = printed["travelers"]["owners"]
        assert [own.traveler.serial for own in owners] == ["W00001", "W00002"]
        assert {own.traveler.route.size for own in owners} == {Size.LETTER}
    assert [own.printing.copy for own in owners] == [2, 2]


def test_a_place_of_an_order_to_another_is_printed(
    shop: Shop, printed: dict[str, Any]
) -> None:
    client = client_of(shop, "lead")
    url = reverse("paper:order_travelers", args=["W001"])
    client.get(url, {"from": "2", "to": "2"})
    (own,) = printed["travelers"]["owners"]
    assert own.traveler.serial == "W00002"
    client.get(reverse("paper:order_tags", args=["W001"]), {"to": "1"})
    assert {tag.serial for tag in printed["tags"]["sheet"].tags} == {"W00001"}


@pytest.mark.parametrize("stock", Stock)
def test_stock_and_sheet_reach_the_paper(
    shop: Shop, printed: dict[str, Any], stock: Stock
) -> None:
    asked = {"stock": stock.value, "sheet": "letter"}
    client = client_of(shop, "lead")
    client.get(reverse("paper:order_tags", args=["W001"]), asked)
    client.get(reverse("paper:piece_labels", args=["D001-01-B1"]), asked)
    for name in ("tags", "labels"):
        assert printed[name]["sheet"].stock is stock
        assert printed[name]["sheet"].size is Size.LETTER


def code_of(client: Client, url: str, **asked: Any) -> tuple[int, str]:
    answer = client.get(url, asked, headers={"Accept": "application/json"})
    return answer.status_code, answer.json()["code"]


def test_nothing_chosen_is_refused(shop: Shop) -> None:
    client = client_of(shop, "planner")
    nothing = (422, rules.NOTHING_TO_PRINT.code)
    assert code_of(client, reverse("paper:selection")) == nothing
    order = reverse("paper:order_travelers", args=["W001"])
    assert code_of(client, order, **{"from": "3"}) == nothing
    tags = reverse("paper:order_tags", args=["W001"])
    assert code_of(client, tags, **{"from": "3"}) == nothing
    assert not Sheet.objects.exists()


def test_too_many_are_refused(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rules.sheets, "MOST_INSTRUMENTS", 1)
    client = client_of(shop, "planner")
    for name in ("paper:order_travelers", "paper:order_tags"):
        assert code_of(client, reverse(name, args=["W001"])) == (
            422,
            rules.TOO_MANY.code,
        )
    assert not Sheet.objects.exists()


def test_an_order_that_is_not_released_is_refused(shop: Shop) -> None:
    number = shop.order().number
    for name in ("paper:order_travelers", "paper:order_tags"):
        assert code_of(client_of(shop, "planner"), reverse(name, args=[number])) == (
            409,
            rules.NOT_RELEASED.code,
        )


def test_a_delivery_without_planks_has_nothing_to_print(shop: Shop) -> None:
    accept_delivery(
        number="D999",
        supplier_id=Supplier.objects.get().pk,
        species_id=Species.objects.get(code="ASH").pk,
        received_on=date(2026, 1, 5),
    )
    url = reverse("paper:delivery_labels", args=["D999"])
    assert code_of(client_of(shop, "lead"), url) == (422, rules.NOTHING_TO_PRINT.code)


@pytest.mark.parametrize(
    "address",
    [
        ("paper:traveler", "X99999"),
        ("paper:order_travelers", "W999"),
        ("paper:order_tags", "W999"),
        ("paper:piece_labels", "D999-01-B1"),
        ("paper:delivery_labels", "D999"),
        ("paper:station_card", "NOWHERE"),
    ],
)
def test_an_unknown_number_is_not_found(shop: Shop, address: tuple[str, str]) -> None:
    url = reverse(address[0], args=[address[1]])
    assert code_of(client_of(shop, "lead"), url) == (404, "kit.not_found")


@pytest.mark.twice
@pytest.mark.parametrize(
    "asked",
    [{"sheet": "a3"}, {"sheet": "A4"}, {"from": "one"}, {"to": "-1"}, {"to": "10000"}],
)
def test_a_wrong_choice_is_refused(shop: Shop, asked: dict[str, str]) -> None:
    url = reverse("paper:order_travelers", args=["W001"])
    assert code_of(client_of(shop, "lead"), url, **asked) == (422, "kit.form_wrong")
    assert not Sheet.objects.exists()


@pytest.mark.parametrize("name", [name for name in ADDRESSES if name != "selection"])
def test_a_paper_is_only_read(shop: Shop, name: str) -> None:
    (address, *given), _ = ADDRESSES[name]
    url = reverse(address, args=given)
    client = client_of(shop, "admin")
    for answer in (client.head(url), client.post(url), client.put(url)):
        assert answer.status_code == 405
    assert not Sheet.objects.exists()


@pytest.mark.once
def test_a_study_has_its_own_card_and_one_for_each_part(shop: Shop) -> None:
    study = begin_study(
        tag=shop.cast.gauges["caliper"].tag,
        characteristic_id=Characteristic.objects.get(code="POCKET").pk,
        planned=Planned(4, 2, 2),
        by=shop.cast.qa,
        at=shop.now,
    )
    url = reverse("paper:study_cards", args=[study.pk])
    answer = client_of(shop, "qa").get(url)
    assert answer.status_code == 200
    said = words(answer.content)
    for told in ("Gauge study", "Part 1", "Part 4", "caliper", "Pocket width"):
        assert told in said
    links = read_zxing(image(answer.content, 1, 300))
    cards = {read_card(codes.parse(link)) for link in links}
    assert cards == {(study.pk, part) for part in range(5)}
    assert not Sheet.objects.exists()


@pytest.mark.once
@pytest.mark.parametrize("stock", ["sheet", "roll"])
def test_a_batch_has_a_label_that_reads_as_it(shop: Shop, stock: str) -> None:
    """What it is, of which batch, how long it is good; and its symbol is its code."""
    glue = Material.objects.create(code="GLUE", name="Hide glue", traced="BATCH")
    batch = take_batch_in(
        material_id=glue.pk,
        number="HG-7",
        received_on=date(2026, 3, 1),
        expires_on=date(2026, 9, 1),
        by=shop.cast.lead,
        at=shop.now,
    )
    url = reverse("paper:batch_label", args=[batch.code])
    answer = client_of(shop, "lead").get(url, {"stock": stock})
    assert answer.status_code == 200
    said = words(answer.content)
    for told in ("HG-7", "Hide glue", "1 Sep 2026", "1 Mar 2026"):
        assert told in said
    assert codes.grouped(batch.code) in said
    (link,) = read_zxing(image(answer.content, 1, 300))
    assert codes.parse(link) == batch.code
    assert Sheet.objects.get().of == batch.code
    assert client_of(shop, "lead").get("/paper/batch/B0000000.pdf").status_code == 404
