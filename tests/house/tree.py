"""Which files make up the project, and how are they read?"""

import ast
import subprocess
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent


@cache
def files() -> tuple[Path, ...]:
    """List what is or will be tracked, relative to the top of the project."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    names = sorted({Path(name) for name in listed.split("\0") if name})
    return tuple(name for name in names if (ROOT / name).is_file())


def python_files(*tops: str) -> list[Path]:
    """List modules, all or those under ``tops``."""
    return [
        name
        for name in files()
        if name.suffix == ".py" and (not tops or name.parts[0] in tops)
    ]


def templates() -> list[Path]:
    return [
        name
        for name in files()
        if name.parts[0] == "travelers"
        and "templates" in name.parts
        and name.suffix == ".html"
    ]


def template_name(path: Path) -> str:
    """Say the name by which Django knows a template: ``floor/station.html``."""
    return "/".join(path.parts[path.parts.index("templates") + 1 :])


@cache
def text(path: Path) -> str:
    return (ROOT / path).read_text(encoding="utf-8")


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(text(path))


def is_migration(path: Path) -> bool:
    return path.parent.name == "migrations"


def is_vendored(path: Path) -> bool:
    return "vendor" in path.parts
