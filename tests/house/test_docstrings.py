"""Does every module begin by saying what question it answers?"""

import ast
from pathlib import Path

import pytest

from tests.house import tree


def without_question(path: Path, source: str) -> list[str]:
    """Say if a module does not begin with a docstring; an empty one need not."""
    module = ast.parse(source)
    if not module.body:
        return []
    if not ast.get_docstring(module):
        return [f"{path}: begin with what question the module answers"]
    before = source.splitlines()[: module.body[0].lineno - 1]
    if any(not line.startswith("#!") for line in before):
        return [f"{path}: the docstring must be the first line"]
    if not str(ast.get_docstring(module, clean=False)).split("\n")[0].strip():
        return [f"{path}: the docstring's first line is empty"]
    return []


def test_modules_say_what_question_they_answer() -> None:
    modules = [p for p in tree.python_files() if not tree.is_migration(p)]
    assert modules
    assert [
        line for path in modules for line in without_question(path, tree.text(path))
    ] == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("", 0),
        ('"""Where is it?"""\nx = 1\n', 0),
        ('#!/usr/bin/env python\n"""Where is it?"""\n', 0),
        ("x = 1\n", 1),
        ('import os\n"""Where is it?"""\n', 1),
        ('# Some words first.\n"""Where is it?"""\n', 1),
        ('"""\nWhere is it?\n"""\n', 1),
    ],
)
def test_a_module_without_its_question_is_found(source: str, found: int) -> None:
    assert len(without_question(Path("travelers/floor/rules.py"), source)) == found
