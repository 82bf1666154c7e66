"""Do verbs and questions take what they need by name?"""

import ast
from collections.abc import Iterable
from pathlib import Path

import pytest

from tests.house import tree

KINDS = ("actions", "queries", "documents")


def public_modules(kind: str) -> dict[Path, list[Path]]:
    """Give each app's public file of a kind, with the files that it is made of."""
    found: dict[Path, list[Path]] = {}
    for path in tree.python_files("travelers"):
        if path.stem == kind:
            found[path] = [path]
        elif path.parent.name == kind:
            found.setdefault(path.parent / "__init__.py", []).append(path)
    return found


def listed(module: ast.Module) -> set[str] | None:
    """Read ``__all__``; none if the module lists nothing."""
    for node in module.body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            return set(ast.literal_eval(node.value))
    return None


def positional(modules: Iterable[ast.Module], public: set[str] | None) -> list[str]:
    """Find public functions that can be called without naming what is given."""
    return [
        f"{node.name} takes {', '.join(names)} by place"
        for module in modules
        for node in module.body
        if isinstance(node, ast.FunctionDef)
        and (node.name in public if public else not node.name.startswith("_"))
        and (names := [arg.arg for arg in [*node.args.posonlyargs, *node.args.args]])
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_public_functions_take_keywords_only(kind: str) -> None:
    modules = public_modules(kind)
    assert modules
    assert [
        f"{public}: {fault}"
        for public, files in modules.items()
        for fault in positional(
            [tree.parsed(path) for path in files],
            listed(tree.parsed(public)) if public in files else None,
        )
    ] == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("def place_hold(*, code, at): ...", []),
        ("def _sum(a, b): ...", []),
        ("def place_hold(code, *, at): ...", ["place_hold takes code by place"]),
        ("def place_hold(a, /, b): ...", ["place_hold takes a, b by place"]),
    ],
)
def test_a_verb_called_by_place_is_found(source: str, found: list[str]) -> None:
    assert positional([ast.parse(source)], None) == found


def test_only_what_a_package_lists_is_public() -> None:
    inner = ast.parse("def record(code): ...\ndef chain(event): ...")
    public = listed(ast.parse("from a.b import record\n__all__ = ['record']"))
    assert positional([inner], public) == ["record takes code by place"]
