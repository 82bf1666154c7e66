"""Is every translation compiled, and does it fill in what the original does?"""

import ast
import gettext
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings

from tests.house import tree
from tests.house.test_refusals import all_refusals

PLACES = re.compile(r"%\(\w+\)[sd]|\{\w*\}|%[sd]")
Messages = dict[str, list[str]]


def catalogs() -> list[Path]:
    return [path for path in tree.files() if path.suffix == ".po"]


def entries(source: str) -> Iterator[dict[str, str]]:
    """Take a catalog apart: the texts of each entry by their keyword."""
    for block in source.split("\n\n"):
        if "#, fuzzy" in block and 'msgid ""\n' not in block:
            continue
        parts: dict[str, str] = {}
        key = ""
        for line in block.splitlines():
            if match := re.match(r'(msg\w+(?:\[\d\])?) (".*")$', line):
                key = match[1]
                parts[key] = ast.literal_eval(match[2])
            elif line.startswith('"') and key:
                parts[key] += ast.literal_eval(line)
        if parts.get("msgid"):
            yield parts


def read(source: str) -> Messages:
    """Read a catalog: each original with its translations, plural ones in order."""
    messages: Messages = {}
    for parts in entries(source):
        context = f"{parts['msgctxt']}\x04" if "msgctxt" in parts else ""
        messages[context + parts["msgid"]] = [
            text for name, text in parts.items() if name.startswith("msgstr")
        ]
    return messages


def unfilled(source: str) -> list[str]:
    """Find translations whose places to fill differ from the original's."""
    return [
        f"{parts['msgid']!r} became {translated!r}"
        for parts in entries(source)
        for name, translated in parts.items()
        if name.startswith("msgstr")
        and translated
        and set(PLACES.findall(translated)) - _places(parts)
    ]


def _places(parts: dict[str, str]) -> set[str]:
    """List what is to be filled in; a singular may leave its number unsaid."""
    return set(PLACES.findall(parts["msgid"] + parts.get("msgid_plural", "")))


def uncompiled(messages: Messages, compiled: gettext.GNUTranslations) -> list[str]:
    """Find originals whose first translation is not what the shop shows."""
    return [
        original
        for original, translations in messages.items()
        if translations[0] and translations[0] != compiled.gettext(original)
    ]


def test_every_language_that_is_offered_has_a_catalog() -> None:
    offered = {code for code, _ in settings.LANGUAGES} - {"en"}
    assert {path.parts[-3] for path in catalogs()} == offered


def test_catalogs_know_every_refusal() -> None:
    wanted = {text for one in all_refusals() for text in (one.sentence, one.remedy)}
    for path in catalogs():
        assert wanted - read(tree.text(path)).keys() == set(), "run `make messages`"


def test_translations_fill_in_what_the_originals_do() -> None:
    assert [
        f"{path}: {line}" for path in catalogs() for line in unfilled(tree.text(path))
    ] == []


def test_translations_are_compiled() -> None:
    for path in catalogs():
        with (tree.ROOT / path.with_suffix(".mo")).open("rb") as file:
            compiled = gettext.GNUTranslations(file)
        assert uncompiled(read(tree.text(path)), compiled) == [], "run `make messages`"


GOOD = """msgid ""
msgstr "Language: es"

#: a.py
#, python-brace-format
msgid "Plank {n} "
"lies here."
msgstr "La tabla {n} está aquí."

#, fuzzy
msgid "Old"
msgstr "Vieja"

msgid "%(n)s plank"
msgid_plural "%(n)s planks"
msgstr[0] "%(n)s tabla"
msgstr[1] "%(n)s tablas"
"""


def test_a_catalog_is_read() -> None:
    assert read(GOOD) == {
        "Plank {n} lies here.": ["La tabla {n} está aquí."],
        "%(n)s plank": ["%(n)s tabla", "%(n)s tablas"],
    }
    assert unfilled(GOOD) == []


@pytest.mark.parametrize(
    ("right", "wrong"), [("{n} está", "{m} está"), ("%(n)s tablas", "%(N)s")]
)
def test_a_translation_that_fills_in_something_else_is_found(
    right: str, wrong: str
) -> None:
    assert len(unfilled(GOOD.replace(right, wrong))) == 1


def test_a_translation_that_is_not_compiled_is_found() -> None:
    class Compiled(gettext.GNUTranslations):
        def __init__(self) -> None:
            self.plural = lambda n: int(n != 1)
            self._catalog = {
                "Plank {n} lies here.": "La tabla {n} está aquí.",
                ("%(n)s plank", 0): "%(n)s tabla",
            }

    assert uncompiled(read(GOOD), Compiled()) == []
    old = GOOD.replace("está aquí", "está allí")
    assert uncompiled(read(old), Compiled()) == ["Plank {n} lies here."]
