"""What is measured, what was aimed at, and was it met?

Each benchmark runs in a process of its own; whatever one of them does, the others go
on. A table of all stands in the end, and in the folder's files ``bench.txt`` and
``bench.json``. The exit code says whether all could be measured, not whether all is as
was aimed at.

Options that are not known here are handed on, as in
``python -m tests.bench tablets idle --seconds 300``.
"""

import json
import os
import subprocess
import sys
import time
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from tempfile import TemporaryDirectory

from tests.bench.ground import say
from tests.bench.table import TOP, Row, commit, kept_rows, machine, written

# Each of some minutes at the most; the last row of each says how long it took.
USUAL = (
    "scan",
    "board",
    "travelers",
    "drying",
    "cutting",
    "rooms",
    "quality",
    "flow",
    "cold",
    "forecast",
    "dispatch",
    "releases",
    "causes",
)
# As long as is said, a minute each if nothing is; and an hour or more.
LONG = ("tablets", "idle", "promises")


def main(given: Sequence[str]) -> int:
    parser = ArgumentParser(
        prog="python -m tests.bench",
        description=__doc__,
        epilog=f"usual: {' '.join(USUAL)}\nlong: {' '.join(LONG)}",
        formatter_class=RawDescriptionHelpFormatter,
    )
    parser.add_argument("names", nargs="*", help="the usual ones if none is named")
    parser.add_argument("--full", action="store_true", help="the long ones too")
    parser.add_argument("--to", type=Path, default=TOP / "bench-results", help="folder")
    asked, more = parser.parse_known_args(given)
    names = asked.names or (*USUAL, *(LONG if asked.full else ()))
    if unknown := set(names) - {*USUAL, *LONG}:
        parser.error(f"no such benchmark: {' '.join(sorted(unknown))}")
    here = machine()
    head = [
        f"Measured at {time.strftime('%Y-%m-%d %H:%M UTC', time.gmtime())} on {here};",
        f"commit {commit()}, {os.getloadavg()[0]:.1f} others at work when it began.",
    ]
    rows = [replace(one, machine=here) for name in names for one in _rows(name, more)]
    table = written(rows, head)
    say(f"\n{table}")
    _write(asked.to, table, rows)
    return int(any(one.why_not for one in rows))


def _rows(name: str, more: Sequence[str]) -> Iterator[Row]:
    """Run a benchmark, and give what it measured and how long it took."""
    say(f"\n== {name}")
    began, before = time.perf_counter(), getrusage(RUSAGE_CHILDREN)
    with TemporaryDirectory() as folder:
        kept = Path(folder) / "rows"
        done = subprocess.run(
            command_of(name, more),
            cwd=TOP,
            env={**os.environ, "BENCH_ROWS": str(kept)},
            check=False,
        )
        rows = kept_rows(kept)
    if done.returncode:
        why = f"ended with {done.returncode}; what it said stands above"
        rows.append(Row("the rest of it", None, "", why_not=why))
    elif not rows:
        rows.append(Row("all of it", None, "", why_not="it gave no figure"))
    after = getrusage(RUSAGE_CHILDREN)
    worked = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    took = time.perf_counter() - began
    lasted = f"{took:.0f} s ({worked:.0f} s of a core)"
    rows.append(Row("to measure this", took, lasted))
    yield from (replace(one, bench=name) for one in rows)


def command_of(name: str, more: Sequence[str]) -> list[str]:
    return [sys.executable, "-m", f"tests.bench.{name}", *more]


def _write(folder: Path, table: str, rows: Sequence[Row]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "bench.txt").write_text(table, encoding="utf-8")
    told = json.dumps([asdict(one) for one in rows], indent=1)
    (folder / "bench.json").write_text(told + "\n", encoding="utf-8")
    say(f"It stands in {folder}, as bench.txt and bench.json.")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
