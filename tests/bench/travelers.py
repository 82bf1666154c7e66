"""How fast are travelers printed, on how much memory, and what stains do they survive?

Every case runs in a process of its own, after one blank sheet that loads what printing
needs.  A blank sheet is what WeasyPrint itself costs on this machine.
"""

import json
import os
import pickle
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from tests.bench.ground import database, say
from tests.bench.table import row, tried

MOST = 100
COUNTS = (1, 20, MOST)
STAINS, STAIN_DPI, SEED = 500, 150, 20260310
AIM_MS, AIM_MIB = 120, 300
TOP = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Cost:
    sheets: int
    wall_s: float
    cpu_s: float
    peak_mib: float
    kib: float

    def line(self, name: str) -> str:
        wall, cpu = (1000 * s / self.sheets for s in (self.wall_s, self.cpu_s))
        return (
            f"{name:<22} {self.sheets:>6} {wall:>9.1f} {cpu:>9.1f} {self.cpu_s:>8.1f} "
            f"{self.peak_mib:>9.0f} {self.kib / self.sheets:>9.1f}"
        )


def main() -> None:
    with database(), tempfile.TemporaryDirectory() as folder:
        owners = Path(folder) / "owners.pickle"
        owners.write_bytes(pickle.dumps(_owners()))
        tried("travelers printed", lambda: _costs(owners))
        tried("stained travelers read", lambda: _stains(owners))


def _owners() -> list[Any]:
    """Release an order of the demo's Tern, and give what its travelers say."""
    from tests.paper.workshop import MORNING, serials, tern
    from travelers.paper import queries
    from travelers.paper.documents import Own
    from travelers.paper.rules import Printing, Size

    order = tern().order(MOST)
    found = queries.travelers(serials=list(serials(order)), size=Size.A4)
    printing = Printing(1, MORNING, "Pia Lindqvaert")
    return [Own(one, printing) for one in found]


def _costs(owners: Path) -> None:
    say(
        f"{'':<22} {'sheets':>6} {'ms/sheet':>9} {'CPU/sheet':>9} {'CPU s':>8} "
        f"{'peak MiB':>9} {'KiB/sheet':>9}"
    )
    blank = _cost("blank", MOST, owners)
    say(blank.line("blank sheets"))
    for count in COUNTS:
        cost = _cost("travelers", count, owners)
        say(cost.line(f"{count} traveler{'s' * (count > 1)}"))
    batch = f"a batch of {MOST} travelers"
    row(f"{batch}, a sheet", 1000 * cost.wall_s / cost.sheets, "ms", at_most=AIM_MS)
    row(f"{batch}, memory at the most", cost.peak_mib, "MiB", at_most=AIM_MIB)
    beside = cost.cpu_s / blank.cpu_s
    row(f"{batch} beside as many blank sheets, processor", beside, "times")


def _cost(case: str, count: int, owners: Path) -> Cost:
    command = [sys.executable, "-m", "tests.bench.travelers", case, str(count)]
    done = subprocess.run(
        [*command, str(owners)], cwd=TOP, check=True, capture_output=True, text=True
    )
    return Cost(**json.loads(done.stdout.splitlines()[-1]))


def _measured(case: str, count: int, owners: Path) -> Cost:
    import django

    django.setup()
    from tests.paper.scanner import sheets
    from travelers.paper import documents

    _blank(1)
    wall, cpu = time.perf_counter(), time.process_time()
    if case == "blank":
        printed = _blank(count)
    else:
        chosen = pickle.loads(owners.read_bytes())[:count]  # noqa: S301 - our own
        printed = documents.travelers(owners=chosen)
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return Cost(len(sheets(printed).pages), wall, cpu, peak, len(printed) / 1024)


def _blank(count: int) -> bytes:
    from weasyprint import HTML

    leaves = "<p></p>".join(['<hr class="leaf">'] * count)
    page = "@page{size:A4} hr{border:0;margin:0} hr+p{break-after:page}"
    from weasyprint import CSS

    printed = HTML(string=leaves).write_pdf(stylesheets=[CSS(string=page)])
    return bytes(printed)


def _stains(owners: Path) -> None:
    from tests.paper.scanner import image, stained, survives
    from travelers.paper import documents

    own = pickle.loads(owners.read_bytes())[0]  # noqa: S301 - our own file
    clean = image(documents.travelers(owners=[own]), 1, STAIN_DPI)
    dice = Random(SEED)
    read = [
        survives(stained(clean, STAIN_DPI, dice), own.traveler.tag.link, STAIN_DPI)
        for _ in range(STAINS)
    ]
    for name, column in (("zxing-cpp", 0), ("zbar", 1)):
        share = sum(one[column] for one in read) / STAINS
        what = f"{name} reads a sheet with a stain of up to 40 mm, of {STAINS}"
        row(what, 100 * share, "%", at_least=99)


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    if len(sys.argv) > 1:
        name, number, file = sys.argv[1:]
        say(json.dumps(_measured(name, int(number), Path(file)).__dict__))
    else:
        main()
