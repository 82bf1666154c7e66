"""Does every file, migration and table have a name that says something?"""

import re
from pathlib import Path

import pytest
from django.apps import apps

from tests.house import tree

EMPTY_WORDS = {
    "utils", "util", "helpers", "helper", "services", "service", "signals",
    "constants", "common", "misc",
}  # fmt: skip
EMPTY_ENDINGS = ("Data", "Info", "Item", "Record", "Manager")


def empty_names(path: Path) -> list[str]:
    words = {part.removesuffix(".py") for part in path.parts}
    return [f"{path}: {word!r} says nothing" for word in sorted(words & EMPTY_WORDS)]


def nameless_migration(path: Path) -> list[str]:
    if path.name == "__init__.py":
        return []
    if not re.fullmatch(r"\d{4}_[a-z][a-z0-9_]+\.py", path.name):
        return [f"{path}: a migration is a number and what happens"]
    return [f"{path}: say what happens"] if "auto" in path.stem.split("_") else []


def empty_model_name(name: str) -> list[str]:
    return [
        f"{name}: {end} says nothing" for end in EMPTY_ENDINGS if name.endswith(end)
    ]


def test_files_have_names_that_say_something() -> None:
    assert [line for path in tree.python_files() for line in empty_names(path)] == []


def test_migrations_say_what_happens() -> None:
    migrations = [p for p in tree.python_files("travelers") if tree.is_migration(p)]
    assert migrations
    assert [line for path in migrations for line in nameless_migration(path)] == []


def test_tables_have_names_that_say_something() -> None:
    ours = [m for m in apps.get_models() if m.__module__.startswith("travelers.")]
    assert ours
    assert [line for model in ours for line in empty_model_name(model.__name__)] == []


@pytest.mark.parametrize(
    ("path", "found"),
    [
        ("travelers/floor/actions.py", 0),
        ("travelers/floor/utils.py", 1),
        ("travelers/floor/helpers/scan.py", 1),
        ("travelers/shop/signals.py", 1),
    ],
)
def test_an_empty_file_name_is_found(path: str, found: int) -> None:
    assert len(empty_names(Path(path))) == found


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("0001_ledger.py", 0),
        ("0002_scan_nonce_unique.py", 0),
        ("__init__.py", 0),
        ("0003_auto_20260310_0830.py", 1),
        ("0004_alter_step_auto_now.py", 1),
        ("later.py", 1),
    ],
)
def test_a_migration_that_says_nothing_is_found(name: str, found: int) -> None:
    path = Path("travelers/floor/migrations") / name
    assert len(nameless_migration(path)) == found


def test_an_empty_table_name_is_found() -> None:
    assert empty_model_name("Plank") == []
    assert empty_model_name("PlankInfo") == ["PlankInfo: Info says nothing"]
