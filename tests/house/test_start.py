"""Does the server start light, and do the pure parts stay pure?"""

import subprocess
import sys

import pytest
from django.conf import settings

from tests.house import tree

# Seconds and megabytes that only some requests need; imported where they are used.
HEAVY = (
    "weasyprint",
    "scipy",
    "numpy",
    "numba",
    "pypdf",
    "networkx",
    "PIL",
    "vl_convert",
    "tablib",
    "openpyxl",
)


def loaded(statement: str, names: tuple[str, ...]) -> set[str]:
    """Say which of ``names`` a fresh Python has loaded after ``statement``."""
    code = f"{statement}\nimport sys\nprint(*({names!r} & sys.modules.keys()))"
    code = code.replace(repr(names), repr(set(names)))
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tree.ROOT,
        env={"SECRET_KEY": settings.SECRET_KEY, "PATH": ""},
        check=False,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    return set(done.stdout.split())


def pure_modules() -> list[str]:
    """List the modules that must work without Django."""
    return [
        ".".join(path.with_suffix("").parts)
        for path in tree.python_files("travelers")
        if path.parts[1] == "formulas"
        or "rules" in {path.stem, path.parent.name}
        or path.parts[1:] == ("kit", "refusals.py")
    ]


def test_the_server_starts_without_heavy_libraries() -> None:
    statement = (
        "import shopfloor.wsgi\n"
        "from django.urls import get_resolver\n"
        "get_resolver().url_patterns"
    )
    assert loaded(statement, HEAVY) == set()


def test_formulas_start_without_heavy_libraries() -> None:
    modules = [name for name in pure_modules() if ".formulas" in name]
    assert "travelers.formulas.forecast.kernel.moves" in modules
    assert loaded("import " + ", ".join(modules), HEAVY) == set()


def test_formulas_and_rules_do_not_load_django() -> None:
    modules = pure_modules()
    assert "travelers.kit.refusals" in modules
    assert loaded("import " + ", ".join(modules), ("django",)) == set()


@pytest.mark.parametrize(
    ("statement", "found"),
    [
        ("import json", set()),
        ("import numpy", {"numpy"}),
        ("import django", {"django"}),
    ],
)
def test_what_is_loaded_is_seen(statement: str, found: set[str]) -> None:
    assert loaded(statement, ("numpy", "django")) == found
