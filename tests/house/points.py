"""What do people expect of a screen at a bench, and which test holds each point?

A test holds a point by its mark: ``@pytest.mark.point(11)``.  ``make docs`` draws
``docs/points.md`` from the marks; ``OPEN`` is the short list of what no test holds,
``PARTLY`` says what is still missing where one does.
"""

import ast
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tests.house import tree

# The figures' sources: WCAG 2.2 by number, ISO 9241-303, ISO/IEC 18004 and 15415, and
# Colle and Hiszem 2004 for the size of keys under a standing hand.
POINTS: Mapping[int, str] = {
    1: "No control is below the legal floor: 24 px, or room round it (WCAG 2.5.8)",
    2: "Every control of a station is 44 px or more (WCAG 2.5.5)",
    3: "Main actions are 20 mm: 96 px, and three sizes to fit the tablet",
    4: "Neighbours are 8 px apart; what is grave 24 px, and not beside Done",
    5: "A button acts on release, sliding off cancels, two taps count once",
    6: "Nothing needs hover, drag, a long press, a pinch or a swipe",
    7: "Letters are high enough for the distance: 16 minutes of arc (ISO 9241-303)",
    8: "Text has 7:1 at a station, 4.5:1 at a desk; edges of controls 3:1",
    9: "States are told apart without colour, by shape and word",
    10: "Readable by day and at a dark bench: one tap between light and dark",
    11: "Every scan is answered at once by sight and sound that differ in rhythm",
    12: "A message says what to do, and stays until it is acted on",
    13: "What changes reaches a screen reader: role status or alert",
    14: "200 % zoom, wide text spacing and 320 px lose nothing",
    15: "Both orientations; the device's keyboard covers neither field nor action",
    16: "The focus is seen, and nothing lies over it",
    17: "Nothing moves beyond need; fewer than three flashes a second",
    18: "Numbers: large keys, comma or point, unit and limits, slips are asked about",
    19: "Nothing is asked that is known already",
    20: "Help and the lead are in the same place on every station screen",
    21: "A badge changes the person; what was begun stays with its owner",
    22: "Who works here is always in sight, and asked again before a quality record",
    23: "Signing in is no test of memory",
    24: "Idle sign-out warns first and keeps what was typed",
    25: "Nothing of the person before stays",
    26: "The tablet stays awake while somebody is signed in",
    27: "A scan works wherever the focus is and never lands in a field",
    28: "A scan is known by how it is typed; a hand is none",
    29: "A wrong keyboard layout, Caps Lock or a lost Shift do no harm",
    30: "The same code twice is one scan; later it says who began it and when",
    31: "A cut-off, doubled or foreign code is refused with a remedy",
    32: "Twenty scans in ten seconds are queued in order",
    33: "The camera: fast, rear, with light, and off when it is not needed",
    34: "A short code can always be typed: at most 12 characters, in fours",
    35: "Symbols: modules of 0.5 mm on a traveler, 0.33 mm on a label, level Q",
    36: "Four modules round a symbol are pure white",
    37: "Black on white, in a grade that a scanner likes",
    38: "Paper survives the bench: two symbols in opposite corners, large letters",
    39: "Paper alone carries the shop through a day, and is entered later",
    40: "Being offline is shown plainly, with what waits",
    41: "Over plain http it says what is missing, and scanners still work",
    42: "A small shop gets HTTPS, and is warned before it runs out",
}
OPEN: Mapping[int, str] = {}
# Held, but not to the last word of what could be wished.
PARTLY: Mapping[int, str] = {
    11: "a second is the quickest of five scans here; `make bench` says it under load",
    26: "Chromium gives the lock and holds it; no tablet has been watched",
    37: "what goes to the printer is measured, a sheet tries it; none was scanned here",
    38: "what is worked by has 11 pt; column heads, stations' names and stamps 7 to 8",
}


def marks_in(
    module: ast.Module, mark: str = "point"
) -> Iterator[tuple[int | str, str]]:
    """Find what a module's tests hold by a mark, with the name of the test."""
    for node in ast.walk(module):
        if not isinstance(node, ast.FunctionDef) or not node.name.startswith("test_"):
            continue
        for one in node.decorator_list:
            if isinstance(one, ast.Call) and ast.unparse(one.func).endswith(
                f"mark.{mark}"
            ):
                yield from (
                    (argument.value, node.name)
                    for argument in one.args
                    if isinstance(argument, ast.Constant)
                    and isinstance(argument.value, int | str)
                )


def held(mark: str = "point") -> dict[Any, list[tuple[Path, str]]]:
    """Give the tests that hold each point, in the order of their files."""
    found: dict[Any, list[tuple[Path, str]]] = {}
    for path in tree.python_files("tests"):
        if path.name.startswith("test_") and path.parts[1] != "house":
            for number, name in marks_in(tree.parsed(path), mark):
                found.setdefault(number, []).append((path, name))
    return dict(sorted(found.items()))
