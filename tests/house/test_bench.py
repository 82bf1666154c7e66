"""Does the table of benchmarks say what was measured, and what could not be?"""

import ast
import json
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.bench import __main__ as bench
from tests.bench import table
from tests.house import tree

MEASURES = """
import os
from tests.bench.table import not_measured, row, tried
row("quick enough", 1.25, "ms", digits=2, at_most=2)
row("too slow", 3, "ms", at_most=2)
row("too few", 94, "%", at_least=95)
row("just so", 7.0)
"""
FAILS = MEASURES + "raise RuntimeError('the room is dark')\n"
TRIES = MEASURES + "tried('a plank', lambda: 1 / 0)\nrow('after it', 1)\n"


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):  # type: ignore[no-untyped-def]
    """Let benchmarks be these programs; give exit code, rows and text of a run."""

    def run(**programs: str) -> tuple[int, list[dict[str, object]], str]:
        def command(name: str, more: Sequence[str]) -> list[str]:
            return [sys.executable, "-c", programs[name], *more]

        monkeypatch.setattr(bench, "USUAL", tuple(programs))
        monkeypatch.setattr(bench, "command_of", command)
        code = bench.main(["--to", str(tmp_path)])
        told = json.loads((tmp_path / "bench.json").read_text())
        return code, told, (tmp_path / "bench.txt").read_text()

    return run


def test_each_figure_stands_beside_its_aim(runs) -> None:  # type: ignore[no-untyped-def]
    code, told, text = runs(one=MEASURES)
    assert code == 0, "a missed aim is no fault of the measurement"
    said = {row["what"]: (row["told"], row["aim"], row["met"]) for row in told}
    assert said["quick enough"] == ("1.25 ms", "at most 2", True)
    assert said["too slow"] == ("3.0 ms", "at most 2", False)
    assert said["too few"] == ("94.0 %", "at least 95", False)
    assert said["just so"] == ("7.0", "", None)
    assert all(row["machine"] == table.machine() for row in told)
    assert table.machine() in text
    assert [line.split()[-1] for line in text.splitlines() if " too " in line] == [
        "MISSED",
        "MISSED",
    ]


def test_what_breaks_is_told_and_the_others_go_on(runs) -> None:  # type: ignore[no-untyped-def]
    code, told, text = runs(breaks=FAILS, tries=TRIES, whole=MEASURES, still="")
    assert code == 1
    names = [(row["bench"], row["what"]) for row in told if row["why_not"]]
    assert names == [
        ("breaks", "the rest of it"),
        ("tries", "a plank"),
        ("still", "all of it"),
    ]
    assert text.count("NOT MEASURED") == 3
    assert ("tries", "after it") in {(row["bench"], row["what"]) for row in told}
    assert ("whole", "just so") in {(row["bench"], row["what"]) for row in told}


def test_each_benchmark_is_listed() -> None:
    folder = tree.ROOT / "tests" / "bench"
    found = {path.stem for path in folder.glob("[a-z]*.py") if has_main(path)}
    assert found == {*bench.USUAL, *bench.LONG}


def test_an_unknown_name_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        bench.main(["scam"])
    assert "no such benchmark: scam" in capsys.readouterr().err


def has_main(path: Path) -> bool:
    parts = ast.parse(path.read_text(encoding="utf-8")).body
    return any(isinstance(one, ast.FunctionDef) and one.name == "main" for one in parts)
