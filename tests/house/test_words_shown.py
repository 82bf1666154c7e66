"""Can every word that a person sees be translated?"""

import re

import pytest

from tests.house import markup, tree

# Units and the product's name are the same in every language.
UNTRANSLATED = {
    "mm", "cm", "m", "m²", "m³", "g", "kg", "s", "min", "h", "d", "N", "Hz", "C", "K",
    "rH", "RH",
    "Plank", "to", "Play", "A", "PDF", "QR", "CSV", "JSON", "PIN", "x", "nbsp",
}  # fmt: skip
FILTERS_THAT_SPEAK = re.compile(
    r"""\|(?:default|default_if_none|yesno|pluralize|add|join):["']([^"']*)["']"""
)
GIVEN_NAMES = re.compile(r"""\b\w+=(["'])(?P<words>[^"']*)\1""")
BUTTONS = {"submit", "button", "reset"}


def untranslated(source: str) -> list[str]:
    """Find words that are written out in a template, outside translate tags."""
    template = markup.take_apart(source)
    found = [(line, words) for line, words in template.texts if _speaks(words)]
    for element in template.elements:
        found += [
            (element.line, value)
            for name, value in element.attributes.items()
            if (name in markup.SHOWN_ATTRIBUTES or _is_button_text(element, name))
            and _speaks(value)
        ]
    for line, content in template.variables:
        found += [
            (line, words)
            for words in FILTERS_THAT_SPEAK.findall(content)
            if _speaks(words)
        ]
    for line, content in template.tags:
        if content.split()[0] in {"include", "with"}:
            found += [
                (line, match["words"])
                for match in GIVEN_NAMES.finditer(content)
                if _is_prose(match["words"])
            ]
    return [f"line {line}: {_readable(words)!r}" for line, words in found]


def _readable(words: str) -> str:
    return " ".join(words.replace(markup.FILLED, "…").split())


def _is_button_text(element: markup.Element, name: str) -> bool:
    kind = element.attributes.get("type", "")
    return element.tag == "input" and kind in BUTTONS and name == "value"


def _speaks(words: str) -> bool:
    bare = re.sub(r"&#?\w+;", " ", words)
    return bool(set(re.findall(r"[^\W\d_]+", bare)) - UNTRANSLATED)


def _is_prose(words: str) -> bool:
    """Tell a text from a code: ``Not yet`` and ``Planks`` from ``queue``."""
    return bool(re.search(r"\b[A-Z][a-z]+|[a-z] [a-z]", words)) and _speaks(words)


def test_templates_show_only_words_that_can_be_translated() -> None:
    assert [
        f"{path}: {line}"
        for path in tree.templates()
        for line in untranslated(tree.text(path))
    ] == []


@pytest.mark.parametrize(
    "source",
    [
        "<p>{% translate 'Planks' %}</p>",
        "<p>{% blocktranslate %}Planks of {{ n }}{% endblocktranslate %}</p>",
        "{% comment %}Only for us{% endcomment %}{# and this #}",
        "<td>{{ plank.thickness }} mm</td><td>100&nbsp;%</td>",
        "<input type='text' name='code' value='abc' class='wide field'>",
        "<img alt='{% translate 'The outline' %}' src='a.svg'>",
        "<i {% if held %}class='bar'{% endif %}></i>",
        "<body{% block look %} class='tablet'{% endblock %} data-shop-at='a'></body>",
        "{% include 'kit/_mark.html' with looks='filled' %}",
        "{{ at|date:'j M Y' }} {{ note|default:_('none') }} {{ n|default:'–' }}",
        "<script type='application/json'>{'words': 1}</script>",
    ],
)
def test_translated_words_and_codes_pass(source: str) -> None:
    assert untranslated(source) == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("<p>Planks</p>", "line 1: 'Planks'"),
        ("<p>\n  {{ n }} planks\n</p>", "line 2: '… planks'"),
        ("{% block title %}Board{% endblock %}", "line 1: '… Board …'"),
        ("<img alt='The outline'>", "line 1: 'The outline'"),
        ("<input placeholder='Code'>", "line 1: 'Code'"),
        ("<a aria-label='Next {{ n }}'></a>", "line 1: 'Next …'"),
        ("<input type='submit' value='Go on'>", "line 1: 'Go on'"),
        ("{{ note|default:'none' }}", "line 1: 'none'"),
        ("{{ held|yesno:'held,free' }}", "line 1: 'held,free'"),
        ("{% include 'a.html' with title='Planks' %}", "line 1: 'Planks'"),
        ("{% translate 'A' %}<b>wood</b>", "line 1: 'wood'"),
    ],
)
def test_a_word_that_cannot_be_translated_is_found(source: str, found: str) -> None:
    assert untranslated(source) == [found]
