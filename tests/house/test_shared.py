"""Does every table of shared/ say its units and where its numbers are from?"""

import csv
import re
from pathlib import Path

import pytest

from tests.house import tree

UNITS = (
    "mm", "um", "m", "g", "kg", "kg_m3", "kg_m", "n", "nm", "pa", "mpa", "hz", "cents",
    "s", "min", "h", "days", "c", "pct", "ratio", "db", "deg",
)  # fmt: skip
KNOWN_BY = ("read", "from memory", "computed")


def tables() -> list[Path]:
    return [p for p in tree.files() if p.parts[0] == "shared" and p.suffix == ".csv"]


def readme_row(name: str, readme: str) -> str:
    """Give the readme's line about a table; empty if it has none."""
    return next(
        (line for line in readme.splitlines() if line.startswith(f"| `{name}` |")), ""
    )


def source_keys(readme: str) -> set[str]:
    listed = readme.partition("\n## Sources")[2]
    return set(re.findall(r"^\| (?!key \||---)([^|]+?) \|", listed, re.MULTILINE))


def faults(name: str, content: str, readme: str) -> list[str]:
    """Say what a table leaves open: a unit, a source, how it was known, a date."""
    rows = list(csv.DictReader(content.splitlines()))
    about = readme_row(name, readme)
    if not about:
        return ["the readme has no row about it"]
    found = [] if re.search(r"\b(19|20)\d\d\b", about) else ["the readme dates nothing"]
    found += _unitless(rows, about)
    keys = source_keys(readme)
    for number, row in enumerate(rows, start=2):
        if row.get("source") not in keys:
            found.append(f"line {number}: the source is not in the readme's list")
        ways = [row[name] for name in row if name.split("_")[0] == "how" and row[name]]
        if not ways or any(not way.startswith(KNOWN_BY) for way in ways):
            found.append(f"line {number}: not said how it is known")
    return found or ([] if rows else ["there are no rows"])


def _unitless(rows: list[dict[str, str]], about: str) -> list[str]:
    columns = list(rows[0]) if rows else []
    return [
        f"column {column}: no unit in the name, nor in the readme that it has none"
        for column in columns
        if _is_measured([row[column] for row in rows])
        and not column.endswith(tuple(f"_{unit}" for unit in UNITS))
        and not (f"`{column}`" in about and "no unit" in about)
    ]


def _is_measured(cells: list[str]) -> bool:
    filled = [cell for cell in cells if cell]
    return bool(filled) and all(
        re.fullmatch(r"[-+]?\d*\.?\d+(e-?\d+)?", cell) for cell in filled
    )


def test_tables_say_their_units_and_sources() -> None:
    readme = tree.text(Path("shared/README.md"))
    assert tables()
    assert [
        f"{path.name}: {fault}"
        for path in tables()
        for fault in faults(path.name, tree.text(path), readme)
    ] == []


def test_the_readme_speaks_of_no_table_that_is_gone() -> None:
    named = re.findall(
        r"^\| `(\S+\.csv)` \|", tree.text(Path("shared/README.md")), re.M
    )
    assert sorted(named) == sorted(path.name for path in tables())


README = (
    "| `wood.csv` | 1 | what | `grade` (no unit) | USDA | 2010 |\n"
    "\n## Sources\n\n| key | title |\n|---|---|\n| USDA | A handbook |\n"
)
GOOD = "species,width_mm,grade,source,how\nash,12.5,1,USDA,read\n"


def test_a_table_with_units_and_sources_passes() -> None:
    assert faults("wood.csv", GOOD, README) == []


@pytest.mark.parametrize(
    ("content", "readme", "fault"),
    [
        (GOOD, "", "the readme has no row about it"),
        (GOOD, README.replace("2010", "lately"), "the readme dates nothing"),
        (
            GOOD.replace("width_mm", "width"),
            README,
            "column width: no unit in the name, nor in the readme that it has none",
        ),
        (
            GOOD.replace("USDA", "hearsay"),
            README,
            "line 2: the source is not in the readme's list",
        ),
        (GOOD.replace("read", "?"), README, "line 2: not said how it is known"),
        ("species,source,how\n", README, "there are no rows"),
    ],
)
def test_a_table_that_leaves_something_open_is_found(
    content: str, readme: str, fault: str
) -> None:
    assert faults("wood.csv", content, readme) == [fault]
