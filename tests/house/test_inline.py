"""Would the browser's content policy let every page through?"""

import ast
import re

import pytest

from tests.house import markup, tree

DATA_SCRIPTS = {"application/json", "application/ld+json"}
STYLED = re.compile(r"""\bstyle\s*=\s*\\?["']|<style\b""")


def inline(source: str) -> list[str]:
    """Find styles, scripts and handlers written into the page itself."""
    found = []
    for element in markup.take_apart(source).elements:
        found += [
            f"line {element.line}: {fault}" for fault in _faults_of_element(element)
        ]
    return found


def _faults_of_element(element: markup.Element) -> list[str]:
    faults = []
    given = element.attributes
    if element.tag == "style":
        faults.append("a style element")
    if (
        element.tag == "script"
        and "src" not in given
        and given.get("type") not in DATA_SCRIPTS
    ):
        faults.append("a script in the page")
    for name, value in given.items():
        if name == "style":
            faults.append("a style attribute")
        elif re.match(r"on[a-z]|hx-on|data-hx-on|x-on|@", name):
            faults.append(f"a handler, {name}")
        elif re.match(r"\s*(javascript|js):", value, re.IGNORECASE):
            faults.append(f"a script in {name}")
        elif name == "hx-trigger" and re.search(r"\w\[", value):
            faults.append("a filter in hx-trigger, which needs eval")
    return faults


def styled_strings(module: ast.Module) -> list[str]:
    """Find Python that writes style attributes or elements into markup."""
    return [
        f"line {node.lineno}: style is written into markup"
        for node in ast.walk(module)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and STYLED.search(node.value)
    ]


def test_templates_have_no_inline_style_or_script() -> None:
    assert [
        f"{path}: {line}"
        for path in tree.templates()
        for line in inline(tree.text(path))
    ] == []


def test_python_writes_no_styles_into_markup() -> None:
    assert [
        f"{path}: {line}"
        for path in tree.python_files("travelers")
        for line in styled_strings(tree.parsed(path))
    ] == []


@pytest.mark.parametrize(
    "source",
    [
        "<link rel='stylesheet' href='{% static 'kit/kit.css' %}'>",
        "<script src='{% static 'floor/scan.js' %}' defer></script>",
        "<script type='application/json' id='limits'>{}</script>",
        "<circle fill='none' stroke='black' stroke-width='2'/>",
        "<button data-shop-once name='one'>{% translate 'Go' %}</button>",
        "<div hx-trigger='every 5s' hx-get='/a'></div>",
    ],
)
def test_what_the_policy_allows_passes(source: str) -> None:
    assert inline(source) == []


@pytest.mark.parametrize(
    ("source", "fault"),
    [
        ("<style>p {}</style>", "a style element"),
        ("<p style='color: red'></p>", "a style attribute"),
        ("<script>go()</script>", "a script in the page"),
        ("<script type='module'>go()</script>", "a script in the page"),
        ("<a onclick='go()'></a>", "a handler, onclick"),
        ("<a hx-on:click='go()'></a>", "a handler, hx-on:click"),
        ("<a href='javascript:go()'></a>", "a script in href"),
        ("<a hx-vals='js:{a: 1}'></a>", "a script in hx-vals"),
        (
            "<a hx-trigger='click[ctrlKey]'></a>",
            "a filter in hx-trigger, which needs eval",
        ),
    ],
)
def test_what_the_policy_stops_is_found(source: str, fault: str) -> None:
    assert inline(source) == [f"line 1: {fault}"]


def test_python_that_styles_markup_is_found() -> None:
    assert styled_strings(ast.parse("a = '<path stroke=\"black\"/>'")) == []
    assert styled_strings(ast.parse("fill_style = 'solid'")) == []
    for bad in ("a = '<p style=\"x\">'", "a = f'<p style=\"{x}\">'", "a = '<style>'"):
        assert len(styled_strings(ast.parse(bad))) == 1
