"""Where does the saw go: a plank seen from above, with the pieces it gives?"""

from collections.abc import Sequence
from dataclasses import dataclass

from travelers.kit.drawing import letters
from travelers.kit.drawing.pen import XMLNS, num, picture, tag, text
from travelers.kit.refusals import gettext_noop

LEFT, RIGHT, TOP, BOTTOM = 46.0, 12.0, 24.0, 8.0
# A long plank is drawn wider than it is, or its pieces could not be named.
LEAST_HIGH, MOST_STRETCH = 0.16, 4.0
SIZE, SMALLEST, TICK = 14.0, 8.0, 12.0
TINTS = ("#fff", "#cfcfcf", "#e8e8e8", "#a9a9a9")


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the plank in mm, from its near left corner."""

    x: float
    y: float
    length: float
    width: float


@dataclass(frozen=True, slots=True)
class Sawn:
    """A piece with its name; pieces of one ``kind`` have one tint."""

    box: Box
    name: str
    kind: int


@dataclass(frozen=True, slots=True)
class Layout:
    """A plank of ``size`` and what is cut in the ``room`` between its trims.

    ``cuts`` are where the first cuts lie, in mm from the room's near end if they go
    ``across`` the plank, else from its near edge.
    """

    size: tuple[float, float]
    room: Box
    pieces: Sequence[Sawn]
    rests: Sequence[Box]
    cuts: Sequence[float]
    across: bool


@dataclass(frozen=True, slots=True)
class SawWords:
    title: str = gettext_noop("Where the pieces lie on the plank")
    told: str = gettext_noop("{n} pieces, {rests} rests")


@dataclass(frozen=True, slots=True)
class _Scale:
    """Millimetres to the picture's units, along and across."""

    along: float
    across: float

    def box(self, box: Box) -> tuple[float, float, float, float]:
        return (
            LEFT + box.x * self.along,
            TOP + box.y * self.across,
            box.length * self.along,
            box.width * self.across,
        )


def stretch(length: float, width: float) -> float:
    """Say how much wider than it is a plank is drawn."""
    return min(MOST_STRETCH, max(1.0, LEAST_HIGH * length / width))


def sawing(
    layout: Layout, *, words_: SawWords | None = None, wide: float = 1000.0
) -> str:
    """Draw a plank from above; each first cut is written at its mark."""
    said = words_ or SawWords()
    length, width = layout.size
    unit = (wide - LEFT - RIGHT) / length
    scale = _Scale(unit, unit * stretch(length, width))
    marks = _marks_along if layout.across else _marks_over
    drawn = [
        _rect(scale, Box(0, 0, length, width), "#bbb", "sawing-plank"),
        _rect(scale, layout.room, "#fff", "sawing-room-ground"),
        *(_void(scale, rest) for rest in layout.rests),
        *(_piece(scale, piece) for piece in layout.pieces),
        *marks(scale, layout),
    ]
    high = TOP + width * scale.across + BOTTOM
    return picture(
        *drawn,
        box=(wide, high),
        title=said.title,
        desc=said.told.format(n=len(layout.pieces), rests=len(layout.rests)),
        class_="sawing",
    )


def _rect(scale: _Scale, box: Box, fill: str, named: str) -> str:
    x, y, wide, high = scale.box(box)
    return tag(
        "rect", x=x, y=y, width=wide, height=high, fill=fill, stroke="#000",
        stroke_width=1, class_=named,
    )  # fmt: skip


def _void(scale: _Scale, rest: Box) -> str:
    """Cross a rest out by its diagonals, as a void is drawn."""
    x, y, wide, high = scale.box(rest)
    right, low = num(x + wide), num(y + high)
    return tag(
        "path",
        d=f"M{num(x)} {num(y)}H{right}V{low}H{num(x)}zL{right} {low}"
        f"M{right} {num(y)}L{num(x)} {low}",
        fill="none",
        stroke="#999",
        stroke_width=0.8,
        class_="sawing-rest",
    )


def _piece(scale: _Scale, piece: Sawn) -> str:
    kind = piece.kind % len(TINTS)
    drawn = _rect(scale, piece.box, TINTS[kind], f"sawing-piece sawing-kind-{kind}")
    return drawn + _named(scale.box(piece.box), piece.name)


def _named(box: tuple[float, float, float, float], name: str) -> str:
    """Write a name along the piece, or over it where that gives larger letters."""
    x, y, wide, high = box
    flat, turned = _fitting(name, wide, high), _fitting(name, high, wide)
    size = max(flat, turned)
    if size < SMALLEST:
        return ""
    cx, cy = x + wide / 2, y + high / 2
    turn = f"rotate(-90 {num(cx)} {num(cy)})" if turned > flat else None
    return text(
        cx, cy + size * 0.35, name, size, text_anchor="middle", font_weight=700,
        transform=turn, class_="sawing-name",
    )  # fmt: skip


def _fitting(name: str, room: float, high: float) -> float:
    """Say how large a name can be in a room, up to the usual size."""
    wide = letters.width(name, 1, bold=True)
    return min(SIZE, (room - 4) / wide, high * 0.92)


def _marks_along(scale: _Scale, layout: Layout) -> list[str]:
    drawn, free = [], 0.0
    for cut in sorted(layout.cuts):
        x = LEFT + (layout.room.x + cut) * scale.along
        drawn.append(_tick(f"M{num(x)} {num(TOP - 5)}V{num(TOP)}"))
        said = num(round(cut, 1))
        half = letters.width(said, TICK) / 2
        if x - half >= free:
            drawn.append(_said(x, TOP - 8, said, "middle"))
            free = x + half + 3
    return drawn


def _marks_over(scale: _Scale, layout: Layout) -> list[str]:
    drawn, free = [], 0.0
    for cut in sorted(layout.cuts):
        y = TOP + (layout.room.y + cut) * scale.across
        drawn.append(_tick(f"M{num(LEFT - 5)} {num(y)}H{num(LEFT)}"))
        if y - TICK / 2 >= free:
            drawn.append(_said(LEFT - 7, y + TICK * 0.35, num(round(cut, 1)), "end"))
            free = y + TICK / 2
    return drawn


def _tick(path: str) -> str:
    return tag("path", d=path, stroke="#000", stroke_width=1.5, class_="sawing-tick")


def _said(x: float, y: float, said: str, anchor: str) -> str:
    return text(x, y, said, TICK, text_anchor=anchor, class_="sawing-mark")


def key(kind: int, size: float = 16.0) -> str:
    """Draw the tint of a kind alone; its words must stand beside it."""
    at = kind % len(TINTS)
    box = tag(
        "rect", x=1, y=1, width=size - 2, height=size - 2, fill=TINTS[at],
        stroke="#000", stroke_width=1, class_=f"sawing-piece sawing-kind-{at}",
    )  # fmt: skip
    return tag(
        "svg", box, xmlns=XMLNS, viewBox=f"0 0 {num(size)} {num(size)}", width=size,
        height=size, aria_hidden="true", class_="sawing-key",
    )  # fmt: skip
