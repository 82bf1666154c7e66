"""Do the piece, its element id and the target that asks for it have one name?"""

import ast
from collections.abc import Mapping

import pytest

from tests.house import markup, tree

Templates = Mapping[str, markup.Template]


def all_templates() -> dict[str, markup.Template]:
    return {
        tree.template_name(path): markup.take_apart(tree.text(path))
        for path in tree.templates()
    }


def family(name: str, templates: Templates) -> set[str]:
    """List a template with all that it extends or includes, near or far."""
    seen: set[str] = set()
    open_names = [name]
    while open_names:
        one = open_names.pop().partition("#")[0]
        if one in templates and one not in seen:
            seen.add(one)
            open_names += templates[one].literals("include", "extends")
    return seen


def lost_targets(name: str, templates: Templates) -> list[str]:
    """Find ``hx-target="#x"`` for which no element with that id is on the page.

    A piece is on the page of whoever includes it, so that its hosts count too.
    """
    hosts = [host for host in templates if name in family(host, templates)]
    near = {one for host in hosts for one in family(host, templates)}
    ids = {word for one in near for word in templates[one].ids()}
    return [
        f"{name}, line {element.line}: no element has the id {target[1:]}"
        for element in templates[name].elements
        if (target := element.attributes.get("hx-target", "")).startswith("#")
        and markup.FILLED not in target
        and target[1:] not in ids
    ]


def shown(module: ast.Module) -> list[tuple[str, tuple[str, ...]]]:
    """List the templates and parts that a module gives to ``show``."""
    found = []
    for node in ast.walk(module):
        if isinstance(node, ast.Call) and ast.unparse(node.func).endswith("show"):
            template = node.args[1] if len(node.args) > 1 else None
            parts = next((k.value for k in node.keywords if k.arg == "parts"), None)
            if isinstance(template, ast.Constant):
                names = ast.literal_eval(parts) if parts else ()
                found.append((str(template.value), tuple(names)))
    return found


def lost_parts(name: str, parts: tuple[str, ...], templates: Templates) -> list[str]:
    """Find parts that the template does not define, or whose element has no id."""
    if name not in templates:
        return [f"{name}: there is no such template"]
    near = family(name, templates)
    partials = templates[name].partials()
    ids = {word for one in near for word in templates[one].ids()}
    return [
        f"{name}: no partial is called {part}" for part in parts if part not in partials
    ] + [f"{name}: no element has the id {part}" for part in parts if part not in ids]


def test_every_target_is_on_the_page() -> None:
    templates = all_templates()
    assert [line for name in templates for line in lost_targets(name, templates)] == []


def test_every_part_that_a_screen_offers_is_in_its_template() -> None:
    templates = all_templates()
    assert [
        f"{path}: {line}"
        for path in tree.python_files("travelers")
        for name, parts in shown(tree.parsed(path))
        for line in lost_parts(name, parts, templates)
    ] == []


GOOD = {
    "page.html": "{% extends 'base.html' %}{% partialdef queue inline %}"
    "<div id='queue'>{% include '_card.html' %}</div>{% endpartialdef %}"
    "<a hx-target='#queue'></a><a hx-target='this'></a><a hx-target='#{{ x }}'></a>",
    "base.html": "<main id='main'></main>",
    "_card.html": "<a hx-target='#queue'></a><a hx-target='#main'></a>",
}


def good() -> dict[str, markup.Template]:
    return {name: markup.take_apart(source) for name, source in GOOD.items()}


def test_targets_on_the_page_pass() -> None:
    templates = good()
    assert [line for name in templates for line in lost_targets(name, templates)] == []
    assert lost_parts("page.html", ("queue",), templates) == []


@pytest.mark.parametrize("name", ["page.html", "_card.html"])
def test_a_target_that_is_nowhere_is_found(name: str) -> None:
    bad = good() | {name: markup.take_apart(GOOD[name] + "<a hx-target='#list'></a>")}
    assert lost_targets(name, bad) == [f"{name}, line 1: no element has the id list"]


def test_a_part_that_is_nowhere_is_found() -> None:
    assert lost_parts("page.html", ("list",), good()) == [
        "page.html: no partial is called list",
        "page.html: no element has the id list",
    ]
    assert lost_parts("none.html", (), good()) == [
        "none.html: there is no such template"
    ]


def test_what_screens_show_is_read() -> None:
    source = "return show(request, 'a/b.html', page, parts=('queue', 'verdict'))"
    assert shown(ast.parse(source)) == [("a/b.html", ("queue", "verdict"))]
