"""Which benchmarks are there?  Each runs in a process of its own."""

import subprocess
import sys

BENCHMARKS = ("scan", "board", "travelers")


def main(names: list[str]) -> int:
    failed = 0
    for name in names or BENCHMARKS:
        sys.stdout.write(f"\n== {name}\n")
        sys.stdout.flush()
        command = [sys.executable, "-m", f"tests.bench.{name}"]
        failed += subprocess.run(command, check=False).returncode != 0
    return min(failed, 1)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
