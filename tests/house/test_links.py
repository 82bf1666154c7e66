"""Does everything that is named in a template or a module exist, and is it used?"""

import ast
import re
from collections.abc import Iterable

from django.contrib.staticfiles import finders
from django.template import TemplateDoesNotExist
from django.template.loader import get_template
from django.urls import get_resolver
from django.urls.resolvers import URLResolver

from tests.house import markup, tree

# Django finds these by name.
FOUND_BY_NAME = re.compile(r"(400|403|403_csrf|404|500)\.html|(admin|django)/.*")
TEMPLATE_NAME = re.compile(r"[\w/.-]+\.html(?=#|$)")


def named_in_python(module: ast.Module) -> set[str]:
    return {
        match[0]
        for node in ast.walk(module)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and (match := TEMPLATE_NAME.match(node.value))
    }


def named_in_template(template: markup.Template) -> set[str]:
    return {name.partition("#")[0] for name in template.literals("include", "extends")}


def all_named() -> set[str]:
    names: set[str] = set()
    for path in tree.python_files("travelers", "shopfloor"):
        names |= named_in_python(tree.parsed(path))
    for path in tree.templates():
        names |= named_in_template(markup.take_apart(tree.text(path)))
    return names


def unused(present: Iterable[str], named: set[str]) -> list[str]:
    return sorted(
        name
        for name in present
        if name not in named and not FOUND_BY_NAME.fullmatch(name)
    )


def missing_templates(names: set[str]) -> list[str]:
    missing = []
    for name in sorted(names):
        try:
            get_template(name)
        except TemplateDoesNotExist:
            missing.append(name)
    return missing


def url_names(resolver: URLResolver, spaces: tuple[str, ...] = ()) -> set[str]:
    """List the names of all addresses, with their name spaces."""
    names: set[str] = set()
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            inner = (*spaces, pattern.namespace) if pattern.namespace else spaces
            names |= url_names(pattern, inner)
        elif pattern.name:
            names.add(":".join([*spaces, pattern.name]))
    return names


def test_every_template_that_is_named_exists() -> None:
    assert missing_templates(all_named()) == []


def test_every_template_is_used() -> None:
    present = [tree.template_name(path) for path in tree.templates()]
    assert unused(present, all_named()) == []


def test_every_address_that_a_template_names_exists() -> None:
    known = url_names(get_resolver())
    assert [
        f"{path}: {name}"
        for path in tree.templates()
        for name in markup.take_apart(tree.text(path)).literals("url")
        if name not in known
    ] == []


def test_every_static_file_that_a_template_names_exists() -> None:
    assert [
        f"{path}: {name}"
        for path in tree.templates()
        for name in markup.take_apart(tree.text(path)).literals("static")
        if finders.find(name) is None
    ] == []


def test_names_are_read_from_modules_and_templates() -> None:
    source = "show(r, 'a/b.html', p)\nrender(r, f'kit/c.html{piece}')\nx = 'a b.html'"
    assert named_in_python(ast.parse(source)) == {"a/b.html", "kit/c.html"}
    template = markup.take_apart(
        "{% extends 'kit/base.html' %}{% include \"a/_b.html#row\" with x=1 %}"
    )
    assert named_in_template(template) == {"kit/base.html", "a/_b.html"}


def test_an_unused_and_a_missing_template_are_found() -> None:
    assert unused(["a/b.html", "404.html"], {"a/b.html"}) == []
    assert unused(["a/b.html", "a/c.html"], {"a/b.html"}) == ["a/c.html"]
    assert missing_templates({"admin/base.html"}) == []
    assert missing_templates({"nowhere/at_all.html"}) == ["nowhere/at_all.html"]


def test_address_names_carry_their_name_space() -> None:
    assert "admin:index" in url_names(get_resolver())
    assert "admin:nowhere" not in url_names(get_resolver())
