"""What was measured, at what was aimed, and was it met?

Each bench writes its rows to the file that ``BENCH_ROWS`` names, a line each; alone it
only says them. ``python -m tests.bench`` makes one table of all.
"""

import json
import os
import platform
import shutil
import subprocess
import traceback
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from tests.bench.ground import say

TOP = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Row:
    """One figure; ``why_not`` says why there is none.

    ``met`` is None where nothing is aimed at.
    """

    what: str
    figure: float | None
    told: str
    aim: str = ""
    met: bool | None = None
    why_not: str = ""
    bench: str = ""
    machine: str = ""

    @property
    def verdict(self) -> str:
        if self.why_not:
            return "NOT MEASURED"
        return {None: "", True: "met", False: "MISSED"}[self.met]

    @property
    def line(self) -> str:
        aimed = f" (aim: {self.aim}; {self.verdict})" if self.aim else ""
        return f"{self.what}: {self.why_not or self.told}{aimed}"


def row(
    what: str,
    figure: float,
    unit: str = "",
    *,
    digits: int = 1,
    at_most: float | None = None,
    at_least: float | None = None,
) -> None:
    """Say a figure and what is aimed at, and put it into the table."""
    figure, aims = float(figure), []
    told = f"{figure:,.{digits}f} {unit}".strip()
    if at_least is not None:
        aims.append((f"at least {at_least:g}", figure >= at_least))
    if at_most is not None:
        aims.append((f"at most {at_most:g}", figure <= at_most))
    met = all(one for _, one in aims) if aims else None
    _keep(Row(what, figure, told, ", ".join(aim for aim, _ in aims), met))


def not_measured(what: str, why: str) -> None:
    """Say that a figure could not be had."""
    _keep(Row(what, None, "", why_not=why))


def tried(what: str, work: Callable[[], object]) -> None:
    """Measure something; what it raises is told, and the others go on."""
    try:
        work()
    except Exception as fault:
        traceback.print_exc()
        not_measured(what, f"{type(fault).__name__}: {fault}")


def _keep(made: Row) -> None:
    say(made.line)
    if kept := os.environ.get("BENCH_ROWS"):
        with Path(kept).open("a", encoding="utf-8") as file:
            file.write(json.dumps(asdict(made)) + "\n")


def kept_rows(path: Path) -> list[Row]:
    """Read what a bench has written down."""
    if not path.exists():
        return []
    lines = path.read_text(encoding="utf-8").splitlines()
    return [Row(**json.loads(line)) for line in lines]


def written(rows: Sequence[Row], head: Iterable[str]) -> str:
    """Write the table as text."""
    cells = [("bench", "what", "figure", "aim", "")]
    cells += [
        (one.bench, one.what, one.told or one.why_not, one.aim, one.verdict)
        for one in rows
    ]
    wide = [max(len(row[n]) for row in cells) for n in range(4)]
    lines = [
        f"{bench:{wide[0]}}  {what:{wide[1]}}  {figure:>{wide[2]}}  {aim:{wide[3]}}  "
        f"{verdict}".rstrip()
        for bench, what, figure, aim, verdict in cells
    ]
    return "\n".join([*head, "", *lines]) + "\n"


def machine() -> str:
    """Name what is measured on."""
    here = f"{_processor()}, {os.cpu_count()} cores, {_memory_gib():.0f} GiB"
    system = f"{platform.system()} {platform.release()}"
    return f"{here}, {system}, Python {platform.python_version()}"


def commit() -> str:
    """Name what is measured, if it is known."""
    if not (git := shutil.which("git")):
        return "unknown"
    command = [git, "describe", "--always", "--dirty"]
    told = subprocess.run(command, cwd=TOP, check=False, capture_output=True, text=True)
    return told.stdout.strip() or "unknown"


def _processor() -> str:
    known = Path("/proc/cpuinfo")
    lines = known.read_text(encoding="utf-8").splitlines() if known.exists() else []
    names = (one.partition(":")[2] for one in lines if one.startswith("model name"))
    return next(names, platform.machine()).strip()


def _memory_gib() -> float:
    pages, size = os.sysconf("SC_PHYS_PAGES"), os.sysconf("SC_PAGE_SIZE")
    return pages * size / 2**30
