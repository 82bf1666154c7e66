"""What do the documents say that are drawn from the code?

``make docs`` writes them; a test compares, so that they cannot lie.
"""

import ast
import sys
import tomllib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from tests.house import tree

DRAWN = "<!-- Drawn from the code by `make docs`. -->\n"


def refusals() -> str:
    """List every reason to say no, by app."""
    from tests.house.test_refusals import all_refusals

    lines = [
        DRAWN,
        "# Refusals",
        "",
        "What the shop says when something cannot be done, what to do then, and who",
        "may let it pass all the same. Words in braces are filled in when it is said.",
    ]
    app = ""
    for one in all_refusals():
        own = one.code.partition(".")[0]
        if own != app:
            app = own
            lines += ["", f"## {app}", ""]
            lines += _head("code", "status", "sentence", "remedy", "may allow")
        allow = ", ".join(one.may_allow) or "nobody"
        lines.append(_row(f"`{one.code}`", one.status, one.sentence, one.remedy, allow))
    return "\n".join(lines) + "\n"


def apps() -> str:
    """Show the order of the apps and what each one is for."""
    settings = tomllib.loads(tree.text(Path("pyproject.toml")))
    contracts = settings["tool"]["importlinter"]["contracts"]
    layers = next(
        c["layers"] for c in contracts if c.get("containers") == ["travelers"]
    )
    lines = [
        DRAWN,
        "# The apps",
        "",
        "Imports and keys point down only. Apps on one line do not know each other.",
        "",
        *_head("height", "app", "tables"),
    ]
    for height, layer in reversed(list(enumerate(reversed(layers)))):
        for app in layer.replace(" ", "").split("|"):
            lines.append(_row(height, f"`{app}`", ", ".join(_tables(app)) or "none"))
    return "\n".join(lines) + "\n"


def _tables(app: str) -> list[str]:
    """List an app's tables in the order in which they are written down."""
    modules = [
        path
        for path in tree.python_files("travelers")
        if path.parts[1] == app and "models" in {path.stem, path.parent.name}
    ]
    return [
        node.name
        for path in modules
        for node in tree.parsed(path).body
        if isinstance(node, ast.ClassDef) and node.name in _known_tables(app)
    ]


def _known_tables(app: str) -> set[str]:
    from django.apps import apps as registry

    if not registry.is_installed(f"travelers.{app}"):
        return set()
    return {model.__name__ for model in registry.get_app_config(app).get_models()}


def states() -> str:
    """Draw the machine of a step: what each wish makes of each state."""
    from travelers.floor.rules import NEXT, State, Wish

    lines = [
        DRAWN,
        "# The states of a step",
        "",
        "What becomes of a step when somebody wishes something. An empty cell: no.",
        "",
        *_head("state", *Wish),
    ]
    lines += [
        _row(f"**{state}**", *(NEXT.get((state, wish), "") for wish in Wish))
        for state in State
    ]
    lines += [
        "",
        "The moves that change the state:",
        "",
        "```mermaid",
        "stateDiagram-v2",
    ]
    lines += [
        f"    {state} --> {new}: {', '.join(wishes)}"
        for (state, new), wishes in _moves(NEXT).items()
    ]
    return "\n".join([*lines, "```"]) + "\n"


def _moves(machine: Mapping[Any, str]) -> dict[tuple[str, str], list[str]]:
    moves: dict[tuple[str, str], list[str]] = {}
    for (state, wish), new in machine.items():
        if state != new:
            moves.setdefault((state, new), []).append(wish)
    return moves


def points() -> str:
    """Say of each point that a screen at a bench is held to which test holds it."""
    from tests.house.points import OPEN, PARTLY, POINTS, held

    lines = [
        DRAWN,
        "# What people expect of a screen at a bench",
        "",
        "Forty-two points, each with the tests that hold it, or with why it is open.",
        "A test holds a point by its mark, `@pytest.mark.point(11)`; what is open or",
        "still missing stands in `tests/house/points.py`.",
        "",
        *_head("point", "what is expected", "held by"),
    ]
    tests = held()
    for number, expected in POINTS.items():
        names = [
            f"{path.relative_to('tests')}: `{name}`"
            for path, name in tests.get(number, [])
        ]
        if number in PARTLY:
            names.append(f"still missing: {PARTLY[number]}")
        by = "<br>".join(names) or f"open: {OPEN.get(number, '?')}"
        lines.append(_row(number, expected, by))
    return "\n".join(lines) + "\n"


def proofs() -> str:
    """Say of each claim about scans, faults and clocks which test proves it."""
    from tests.house.points import held
    from tests.house.proofs import OPEN, PROOFS

    lines = [
        DRAWN,
        "# Nothing scanned is ever lost: the claims and their proofs",
        "",
        "Each claim with the tests that prove it, short in `make test`; those of",
        "`tests/drill` print their figures at length in `make drill`. A test proves a",
        'claim by its mark, `@pytest.mark.proof("R1")`.',
        "",
        *_head("claim", "what is claimed", "proved by"),
    ]
    tests = held("proof")
    for name, claimed in PROOFS.items():
        by = "<br>".join(
            f"{path.relative_to('tests')}: `{test}`"
            for path, test in tests.get(name, [])
        )
        lines.append(_row(name, claimed, by or f"open: {OPEN.get(name, '?')}"))
    return "\n".join(lines) + "\n"


def _head(*names: str) -> list[str]:
    return [_row(*names), "|" + "---|" * len(names)]


def _row(*cells: object) -> str:
    return "| " + " | ".join(str(cell).replace("|", "\\|") for cell in cells) + " |"


DOCUMENTS: dict[str, Callable[[], str]] = {
    "docs/refusals.md": refusals,
    "docs/apps.md": apps,
    "docs/states.md": states,
    "docs/points.md": points,
    "docs/proofs.md": proofs,
}


def stale(documents: dict[str, Callable[[], str]], folder: Path) -> list[str]:
    """Name the documents that do not say what the code says."""
    return [
        name
        for name, draw in documents.items()
        if not (folder / name).is_file()
        or (folder / name).read_text(encoding="utf-8") != draw()
    ]


def write(names: Iterable[str], folder: Path) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(DOCUMENTS[name](), encoding="utf-8")
        sys.stdout.write(f"{name} drawn afresh\n")


if __name__ == "__main__":
    import os

    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    write(stale(DOCUMENTS, tree.ROOT), tree.ROOT)
