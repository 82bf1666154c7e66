"""Are the files that others wrote the very ones that the list names?"""

import csv
import hashlib
import re
from pathlib import Path

import pytest

from tests.house import tree

FOLDER = Path("travelers/kit/static/vendor")
LIST = Path("requirements/vendor/vendor.lock")
WASM = re.compile(r"`([0-9a-f]{64})`")
Row = dict[str, str]


def listed(source: str) -> list[Row]:
    return list(csv.DictReader(source.splitlines(), delimiter="\t"))


def digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def differences(rows: list[Row], present: dict[str, bytes]) -> list[str]:
    """Compare the list with the files: by name, digest, licence and folder."""
    found = [f"{name}: not in the list" for name in present]
    for row in rows:
        name = row["file"]
        if name not in present:
            found.append(f"{name}: not there")
            continue
        found.remove(f"{name}: not in the list")
        if digest(present[name]) != row["sha256"]:
            found.append(f"{name}: changed")
        folder = f"{row['package']}-{row['version']}/"
        if not name.startswith(folder):
            found.append(f"{name}: not in {folder}")
        if not row["licence"] or f"{folder}LICENSE.txt" not in present:
            found.append(f"{name}: without its licence")
    return found


def vendored() -> dict[str, bytes]:
    return {
        path.relative_to(FOLDER).as_posix(): (tree.ROOT / path).read_bytes()
        for path in tree.files()
        if path.is_relative_to(FOLDER)
    }


def test_the_list_tells_what_is_there() -> None:
    files = vendored()
    assert files
    assert differences(listed(tree.text(LIST)), files) == []


def test_the_reader_of_symbols_is_the_one_that_its_script_was_made_for() -> None:
    """The script names the digest of its other half: any other reads nothing."""
    files = vendored()
    (script,) = (text for name, text in files.items() if name.endswith("ponyfill.js"))
    (reader,) = (text for name, text in files.items() if name.endswith(".wasm"))
    assert WASM.findall(script.decode()) == [digest(reader)]


def test_pages_ask_for_what_is_there() -> None:
    asked = {
        name
        for path in tree.templates()
        for name in re.findall(r'{% static "vendor/([^"]+)" %}', tree.text(path))
    }
    assert asked
    assert asked <= set(vendored())


GOOD = {"a-1/a.js": b"go()", "a-1/LICENSE.txt": b"MIT"}


def rows(**other: str) -> list[Row]:
    """List the good files; ``other`` is said of the licence."""
    both = {"package": "a", "version": "1", "licence": "MIT"}
    code, licence = (
        {**both, "file": name, "sha256": digest(text)} for name, text in GOOD.items()
    )
    return [code, {**licence, **other}]


def test_files_as_listed_pass() -> None:
    assert differences(rows(), GOOD) == []


@pytest.mark.parametrize(
    ("listing", "present", "fault"),
    [
        (rows(), {**GOOD, "a-1/a.js": b"gone()"}, "a-1/a.js: changed"),
        (rows(), {**GOOD, "a-1/b.js": b""}, "a-1/b.js: not in the list"),
        (rows(), {"a-1/LICENSE.txt": b"MIT"}, "a-1/a.js: not there"),
        (rows(licence=""), GOOD, "a-1/LICENSE.txt: without its licence"),
        (rows(version="2"), GOOD, "a-1/LICENSE.txt: not in a-2/"),
    ],
)
def test_what_differs_is_found(
    listing: list[Row], present: dict[str, bytes], fault: str
) -> None:
    assert fault in differences(listing, present)
