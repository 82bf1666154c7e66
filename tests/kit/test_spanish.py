"""Does a reader of Spanish get Spanish, whole sentences of it?"""

from collections.abc import Iterator
from pathlib import Path
from string import Formatter

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.utils import translation

from tests import make
from tests.desk import client, text_of
from tests.floor.tablet import Tablet
from tests.house import tree
from tests.house.test_messages import read
from tests.house.test_refusals import all_refusals
from travelers.floor.rules import Wish
from travelers.formulas.codes import grouped
from travelers.kit.refusals import Refusal
from travelers.kit.words import LABELS, label, remedy_of, sentence_of

CATALOG = Path("travelers/kit/locale/es/LC_MESSAGES/django.po")
SPANISH = {"Accept-Language": "es"}
# What a Spanish page must not say, of each sort: a list, a button, a state, an
# answer, a place of the head, the foot.
ENGLISH = (
    "Ready here",
    "Take this one next",
    "Waiting",
    "Can be let pass by",
    "Stations",
    "Follow local codes",
)
SHOWN = ("aria-label", "alt", "title", "placeholder", "data-shop-word")


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


def texts(page: BeautifulSoup) -> Iterator[str]:
    """Give what a page says and what it tells a screen reader, piece by piece."""
    for piece in page.find_all(string=True):
        yield " ".join(str(piece).split())
    for name in SHOWN:
        for element in page.select(f"[{name}]"):
            yield str(element[name])


def left_in_english(page: BeautifulSoup) -> set[str]:
    """Find texts that the catalog translates and the page does not."""
    catalog = read(tree.text(CATALOG))
    ours = {text for text, spanish in catalog.items() if text not in spanish}
    said = set(texts(page))
    whole = " ".join(said)
    return (said & ours) | {text for text in ENGLISH if text in whole}


def spanish_page(opened: Client, url: str) -> BeautifulSoup:
    response = opened.get(url, headers=SPANISH)
    assert response.headers["Content-Language"] == "es"
    return BeautifulSoup(text_of(response), "html.parser")


def spanish_tablet(shop: make.Shop, station: str) -> Tablet:
    return Tablet(shop, station, headers=SPANISH)


def test_the_catalog_is_whole() -> None:
    source = tree.text(CATALOG)
    assert "#, fuzzy" not in source
    catalog = read(source)
    assert len(catalog) > 700
    assert [text for text, spanish in catalog.items() if "" in spanish] == []


def test_english_that_is_left_is_found() -> None:
    page = BeautifulSoup("<p>Ready here</p><i title='Sign out'></i>", "html.parser")
    assert left_in_english(page) == {"Ready here", "Sign out"}


@pytest.mark.django_db
def test_an_idle_station_speaks_spanish(shop: make.Shop) -> None:
    shop.instrument()
    tablet = spanish_tablet(shop, "SAW").open()
    assert left_in_english(tablet.page) == set()
    assert "Listo aquí" in tablet.text
    assert "Tome esta ahora" in tablet.text
    assert "cuerpo" in tablet.text


@pytest.mark.django_db
def test_a_scene_speaks_spanish(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    tablet = spanish_tablet(shop, "SAW").scan(body)
    assert left_in_english(tablet.page) == set()
    assert tablet.buttons["Empezar"]
    assert tablet.wish("START").text.startswith("El trabajo está empezado.")
    assert left_in_english(tablet.page) == set()


@pytest.mark.django_db
def test_a_refusal_is_said_in_spanish_with_its_words(shop: make.Shop) -> None:
    body = shop.part(shop.instrument())
    tablet = spanish_tablet(shop, "BOOTH").scan(body)
    assert "en este puesto, sino en Saw." in tablet.text
    assert "Lleve la parte a Saw, o pida al encargado" in tablet.text
    assert "Lo puede dejar pasar: encargado o calidad" in tablet.text
    assert left_in_english(tablet.page) == set()


@pytest.mark.django_db
def test_missing_mates_are_named_in_spanish(shop: make.Shop) -> None:
    instrument = shop.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS"):
        shop.work(shop.part(instrument, branch))
    whole = shop.part(instrument, "ASSEMBLY")
    shop.work(whole, until="Neck joint")
    assert shop.scan(Wish.START, whole).accepted
    verdict = shop.scan(Wish.FINISH, whole)
    assert verdict.refusal
    assert verdict.refusal.code == "floor.mates_missing"
    with translation.override("es"):
        said = sentence_of(verdict.refusal)
    body, neck = (
        grouped(shop.part(instrument, branch).code) for branch in ("BODY", "NECK")
    )
    assert said == f"Falta escanear: cuerpo {body}, mástil {neck}."


@pytest.mark.django_db
def test_the_board_speaks_spanish(shop: make.Shop) -> None:
    shop.instrument()
    page = spanish_page(client(shop, "planner"), "/board/")
    # Stages of the tests' shop have names that the program uses elsewhere.
    assert left_in_english(page) == {"Lumber", "Drying"}
    said = set(texts(page))
    assert {"Tablero", "Maderas", "Rama", "Etapa", "en espera", "El taller"} <= said


@pytest.mark.django_db
def test_signing_in_speaks_spanish() -> None:
    page = spanish_page(Client(), "/sign-in/")
    assert left_in_english(page) == set()
    assert {"Entrar", "Contraseña"} <= set(texts(page))
    assert page.html
    assert page.html["lang"] == "es"


def filled(refusal: Refusal) -> Refusal:
    """Give each place of a refusal a word of its kind."""
    both = f"{refusal.sentence} {refusal.remedy}"
    names = {name for _, name, _, _ in Formatter().parse(both) if name}
    return refusal.about(**{name: _example(name) for name in names})


def _example(name: str) -> str:
    if name in ("day", "due"):
        return "2026-03-11"
    if name.endswith("_at"):
        return "2026-03-10T08:30:00+00:00"
    if name.endswith("_word"):
        return "NECK"
    return "NECK P1, BODY P2" if name.endswith("_words") else f"<{name}>"


def _shown(name: str, language: str) -> str:
    neck, body = {"en": ("neck", "body"), "es": ("mástil", "cuerpo")}[language]
    if name in ("day", "due"):
        return "11 Mar 2026"
    if name.endswith("_at"):
        return "10 Mar 2026, 09:30"
    if name.endswith("_word"):
        return neck
    return f"{neck} P1, {body} P2" if name.endswith("_words") else f"<{name}>"


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_refusal_says_its_words(language: str) -> None:
    for refusal in map(filled, all_refusals()):
        with translation.override(language):
            said = (sentence_of(refusal), remedy_of(refusal))
        for text in said:
            assert "{" not in text, refusal.code
            assert text[0].isupper() or text[0] in "“<", refusal.code
            assert text.endswith("."), refusal.code
        for name in refusal.words:
            assert _shown(name, language) in " ".join(said), (refusal.code, name)


@pytest.mark.parametrize(("language", "likely"), [("en", "56.1"), ("es", "56,1")])
def test_a_value_has_the_decimal_mark_of_the_reader(language: str, likely: str) -> None:
    doubted = Refusal.registry["floor.value_doubted"]
    with translation.override(language):
        said = sentence_of(doubted.about(value="561", likely="56.1", unit="mm"))
        typed = Refusal.registry["floor.value_not_a_number"].about(typed="5.6.1")
        assert "5.6.1" in sentence_of(typed)
    assert f"{likely} mm" in said
    assert "561 mm" in said


def test_every_refusal_and_every_listed_word_is_said_otherwise_in_spanish() -> None:
    with translation.override("es"):
        same = [
            refusal.code
            for refusal in map(filled, all_refusals())
            if sentence_of(refusal) == refusal.sentence
            or remedy_of(refusal) == refusal.remedy
        ]
        unsaid = [
            word
            for word, english in LABELS.items()
            if label(word) == english and not english.isdigit()
        ]
    assert (same, unsaid) == ([], [])
