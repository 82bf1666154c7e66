"""Is a badge on paper what its person signs in with, and on no other paper again?"""

import pytest

from tests import make
from tests.desk import client
from tests.paper import scanner
from tests.shop.bench import Bench
from travelers.paper import documents
from travelers.paper.rules import Size, Stock
from travelers.shop.models import Badge

pytestmark = [pytest.mark.django_db, pytest.mark.once]
BADGES = "/paper/badges.pdf"


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


def read(printed: bytes, sheet: int = 1) -> set[str]:
    """Decode every symbol of a sheet, as a scanner at 150 dpi."""
    found = scanner.zxingcpp.read_barcodes(scanner.image(printed, sheet, 150))
    return {one.text for one in found}


def print_badges(shop: make.Shop, *names: str, **more: str) -> bytes:
    sent = {"username": list(names), **more}
    answer = client(shop, "lead").post(BADGES, sent)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "application/pdf"
    assert "no-store" in answer.headers["Cache-Control"]
    return answer.content


@pytest.mark.parametrize("size", list(Size))
def test_what_is_printed_signs_in(shop: make.Shop, size: Size) -> None:
    printed = print_badges(shop, "joiner", "finisher", sheet=size)
    links = read(printed)
    assert len(links) == 2
    assert all(link.startswith("HTTP://SHOP.LAN/B/") for link in links)
    signed_in = set()
    for link in links:
        bench = Bench(shop)
        assert bench.badge(link).status_code == 302
        signed_in.add(bench.who())
    assert signed_in == {"joiner", "finisher"}


def test_a_badge_says_whose_it_is_and_not_its_secret_in_letters(
    shop: make.Shop,
) -> None:
    shop.cast.joiner.number = "0417"
    shop.cast.joiner.save(update_fields=["number"])
    printed = print_badges(shop, "joiner")
    said = scanner.words(printed)
    assert "Joiner Cast" in said
    assert "0417" in said
    (link,) = read(printed)
    assert link.rpartition("/")[2] not in said


def test_printing_again_takes_the_former_badge_out_of_force(shop: make.Shop) -> None:
    (old,) = read(print_badges(shop, "joiner"))
    (new,) = read(print_badges(shop, "joiner", stock=Stock.ROLL))
    assert Bench(shop).badge(old).status_code == 403
    assert Bench(shop).badge(new).status_code == 302


def test_what_cannot_be_printed_leaves_the_former_badge(
    shop: make.Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    (old,) = read(print_badges(shop, "joiner"))

    def jam(**_: object) -> bytes:
        raise OSError("no paper")

    monkeypatch.setattr(documents, "badges", jam)
    with pytest.raises(OSError, match="no paper"):
        client(shop, "lead").post(BADGES, {"username": "joiner"})
    assert Bench(shop).badge(old).status_code == 302


@pytest.mark.parametrize(
    ("names", "status", "code"),
    [
        ([], 422, "paper.nothing_to_print"),
        (["nobody"], 422, "paper.nothing_to_print"),
        (["joiner", "qa"], 403, "shop.given_by_admin"),
    ],
)
def test_what_is_not_to_be_printed_is_said_and_nothing_is_issued(
    shop: make.Shop, names: list[str], status: int, code: str
) -> None:
    answer = client(shop, "lead").post(BADGES, {"username": names})
    assert answer.status_code == status
    assert code in answer.content.decode()
    assert not Badge.objects.exists()
