"""Does the project speak of itself alone, and not of a machine it was written on?"""

import re
from pathlib import Path

import pytest

from tests.house import tree

# Folders that are somebody's own, and where packages were once fetched from.
OWN_FOLDERS = re.compile(
    r"(?<![\w.~-])/(?:work|tmp|home|root|Users|private|mnt|scratch)(?:/[\w.-]|\b(?![/\w]))"
)
PACKAGE_HOSTS = re.compile(
    r"file:///(?!\W)|\bdevpi\b|\bfiles\.pythonhosted\b|\bpypi\.org/simple"
    r"|\bregistry\.npmjs\b|--(?:extra-)?index-url|--trusted-host|--find-links"
    r"|\blocalhost:\d+/simple",
)
TRACKER = re.compile(r"(?i)\b(?:issue|ticket|pull request|PR) ?#\d+")
BINARY = {".ttf", ".woff2", ".woff", ".png", ".jpg", ".ico", ".mo", ".pdf", ".wasm"}


def strange_words(source: str) -> list[str]:
    found = []
    for number, line in enumerate(source.splitlines(), start=1):
        for rule in (OWN_FOLDERS, PACKAGE_HOSTS, TRACKER):
            found += [f"line {number}: {match[0]}" for match in rule.finditer(line)]
    return found


def read_by_people(path: Path) -> bool:
    own_examples = path == Path(__file__).relative_to(tree.ROOT)
    return not (path.suffix in BINARY or tree.is_vendored(path) or own_examples)


def test_no_file_speaks_of_the_machine_it_was_written_on() -> None:
    read = [path for path in tree.files() if read_by_people(path)]
    assert read
    assert [
        f"{path}, {line}" for path in read for line in strange_words(tree.text(path))
    ] == []


@pytest.mark.parametrize(
    "line",
    [
        "HTTPS://SHOP.LAN/T/P0001-234X",
        'path("work/", views.work)',
        "a/work/b and ../tmp/x and ~/home/x",
        "serves at http://127.0.0.1:8000",
        "sqlite:////var/lib/shop.sqlite3",
        "tmp_path / 'a'",
        "#123456 is a colour",
        "see https://docs.djangoproject.com/",
    ],
)
def test_the_projects_own_words_pass(line: str) -> None:
    assert strange_words(line) == []


@pytest.mark.parametrize(
    "line",
    [
        "open('/tmp/x')",
        "cd /work/somewhere",
        "/home/anna/shop",
        "written to /root/.cache",
        "--index-url http://localhost:3141/simple",
        "find-links = file:///opt/wheels",
        "as issue #12 says",
    ],
)
def test_words_of_one_machine_are_found(line: str) -> None:
    assert strange_words(line) != []
