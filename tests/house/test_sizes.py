"""Is every file and function still small enough to read at once?"""

import ast
from pathlib import Path

from tests.house import tree

MODULE_LINES = 500
TEST_LINES = 800
FUNCTION_LINES = 50
TEMPLATE_LINES = 250


def too_long(path: Path, source: str) -> list[str]:
    """Say if a file must be split, by the limit of its kind."""
    if path.suffix == ".html":
        limit = TEMPLATE_LINES
    else:
        limit = TEST_LINES if path.parts[0] == "tests" else MODULE_LINES
    lines = len(source.splitlines())
    return [f"{path}: {lines} lines, at most {limit}"] if lines > limit else []


def long_functions(path: Path, module: ast.Module) -> list[str]:
    """Find functions that must be split; what their docstring explains is free."""
    return [
        f"{path}: {node.name} has {lines} lines, at most {FUNCTION_LINES}"
        for node in ast.walk(module)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (lines := _lines(node)) > FUNCTION_LINES
    ]


def _lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    explained = 0
    if ast.get_docstring(function):
        first = function.body[0]
        explained = (first.end_lineno or 0) - first.lineno + 1
    return (function.end_lineno or 0) - function.lineno + 1 - explained


def test_files_are_short() -> None:
    sized = [
        path
        for path in tree.files()
        if path.suffix in {".py", ".html", ".js"}
        and not tree.is_vendored(path)
        and not tree.is_migration(path)
    ]
    assert sized
    assert [line for path in sized for line in too_long(path, tree.text(path))] == []


def test_functions_are_short() -> None:
    checked = [p for p in tree.python_files() if not tree.is_migration(p)]
    assert [
        line for path in checked for line in long_functions(path, tree.parsed(path))
    ] == []


def test_a_file_at_the_limit_passes_and_one_line_more_does_not() -> None:
    kinds = {
        Path("travelers/floor/actions.py"): MODULE_LINES,
        Path("tests/floor/test_actions.py"): TEST_LINES,
        Path("travelers/floor/templates/floor/station.html"): TEMPLATE_LINES,
    }
    for path, limit in kinds.items():
        assert too_long(path, "x\n" * limit) == []
        assert len(too_long(path, "x\n" * (limit + 1))) == 1


def test_a_long_function_is_found() -> None:
    path = Path("travelers/floor/actions.py")
    body = '    """Explain.\n\n    At length.\n    """\n' + "    pass\n" * 49
    assert long_functions(path, ast.parse(f"def short():\n{body}")) == []
    assert long_functions(path, ast.parse(f"def long():\n{body}    pass\n")) == [
        "travelers/floor/actions.py: long has 51 lines, at most 50"
    ]
