"""Which benchmarks are there?  Each runs in a process of its own.

``python -m tests.bench`` runs those of a minute; ``tablets`` and ``idle`` last as long
as is said: ``python -m tests.bench tablets idle --seconds 300``.
"""

import subprocess
import sys

BENCHMARKS = (
    "scan",
    "board",
    "travelers",
    "drying",
    "cutting",
    "rooms",
    "quality",
    "causes",
    "forecast",
    "flow",
    "dispatch",
    "releases",
)


def main(given: list[str]) -> int:
    cut = next((i for i, one in enumerate(given) if one.startswith("-")), len(given))
    names, more = given[:cut], given[cut:]
    failed = 0
    for name in names or BENCHMARKS:
        sys.stdout.write(f"\n== {name}\n")
        sys.stdout.flush()
        command = [sys.executable, "-m", f"tests.bench.{name}", *more]
        failed += subprocess.run(command, check=False).returncode != 0
    return min(failed, 1)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
