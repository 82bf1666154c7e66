"""Which shape stands for which state of a part?

The shapes differ in outline and in ink, so that they can be told apart in black
and white and in print as small as three millimetres:

* ring: waiting for somebody to start it,
* filled: in work,
* half: dwelling (drying, clamped, curing),
* bar: held,
* cross: scrapped,
* short solid: done,
* small ring: still to come,
* short stroke: void, left out of this instrument's route.
"""

from collections.abc import Iterable
from enum import StrEnum
from functools import lru_cache

from travelers.kit.drawing.pen import num, picture, tag

Point = tuple[float, float]
INK = "#000"
PAPER = "#fff"


class Look(StrEnum):
    WAITING = "WAITING"
    IN_WORK = "IN_WORK"
    DWELLING = "DWELLING"
    HELD = "HELD"
    SCRAPPED = "SCRAPPED"
    DONE = "DONE"
    TO_COME = "TO_COME"
    VOID = "VOID"


# The states a part on the floor can be in, in the order they are piled up.
ON_FLOOR = (Look.IN_WORK, Look.DWELLING, Look.WAITING, Look.HELD, Look.SCRAPPED)


def shapes(look: Look, places: Iterable[Point], r: float) -> str:
    """Draw one look at all its places: one path however many places there are."""
    outline = _OUTLINES[look]
    drawn = "".join(outline(x, y, r) for x, y in places)
    if not drawn:
        return ""
    # Even-odd filling makes ring and half of one path, with no stroke to swell.
    return tag(
        "path", d=drawn, fill=INK, fill_rule="evenodd", class_=f"mark mark-{slug(look)}"
    )


def ground(places: Iterable[Point], r: float) -> str:
    """Clear the wood under marks so that a string does not run through a ring."""
    drawn = "".join(_disc(x, y, r) for x, y in places)
    return tag("path", d=drawn, fill=PAPER, class_="mark-ground") if drawn else ""


@lru_cache(maxsize=1024)
def mark(look: Look, *, size: float = 16, title: str = "") -> str:
    """Draw one mark by itself; it stands beside the word, so it is silent."""
    drawn = shapes(look, [(8, 8)], 6)
    if title:
        return picture(
            drawn, box=(16, 16), size=(size, size), title=title, class_="mark-alone"
        )
    return tag(
        "svg",
        drawn,
        xmlns="http://www.w3.org/2000/svg",
        viewBox="0 0 16 16",
        width=size,
        height=size,
        class_="mark-alone",
        aria_hidden="true",
    )


def slug(look: Look) -> str:
    return look.value.lower().replace("_", "-")


def _disc(x: float, y: float, r: float) -> str:
    a = num(r)
    d = num(2 * r)
    return f"M{num(x - r)} {num(y)}a{a} {a} 0 1 0 {d} 0a{a} {a} 0 1 0-{d} 0z"


def _ring(x: float, y: float, r: float) -> str:
    return _disc(x, y, r) + _disc(x, y, r * 0.62)


def _half(x: float, y: float, r: float) -> str:
    hole = num(r * 0.68)
    # The hole is the left half only; the right half stays full.
    top, gap = num(y - r * 0.68), num(r * 1.36)
    return _disc(x, y, r) + f"M{num(x)} {top}a{hole} {hole} 0 0 0 0 {gap}z"


def _bar(x: float, y: float, r: float) -> str:
    return _box(x - r * 0.42, y - r * 1.1, r * 0.84, r * 2.2)


def _cross(x: float, y: float, r: float) -> str:
    a, b = r * 0.95, r * 0.36
    turns = [
        (-a, -a + b), (-a + b, -a), (0, -b), (a - b, -a), (a, -a + b), (b, 0),
        (a, a - b), (a - b, a), (0, b), (-a + b, a), (-a, a - b), (-b, 0),
    ]  # fmt: skip
    return "M" + "L".join(f"{num(x + dx)} {num(y + dy)}" for dx, dy in turns) + "z"


def _short(x: float, y: float, r: float) -> str:
    return _box(x - r * 0.9, y - r * 0.32, r * 1.8, r * 0.64)


def _small_ring(x: float, y: float, r: float) -> str:
    return _disc(x, y, r * 0.62) + _disc(x, y, r * 0.36)


def _stroke(x: float, y: float, r: float) -> str:
    return _box(x - r * 0.12, y - r * 0.7, r * 0.24, r * 1.4)


def _box(x: float, y: float, wide: float, high: float) -> str:
    return f"M{num(x)} {num(y)}h{num(wide)}v{num(high)}h-{num(wide)}z"


_OUTLINES = {
    Look.WAITING: _ring,
    Look.IN_WORK: _disc,
    Look.DWELLING: _half,
    Look.HELD: _bar,
    Look.SCRAPPED: _cross,
    Look.DONE: _short,
    Look.TO_COME: _small_ring,
    Look.VOID: _stroke,
}
