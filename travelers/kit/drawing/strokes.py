"""What do the safety signs share: a hand, a head, lines of one colour?"""

from dataclasses import dataclass

from travelers.kit.drawing.pen import num, tag

BLUE = "#00538a"
WHITE = "#fff"
BLACK = "#000"


@dataclass(frozen=True, slots=True)
class Pictogram:
    referent: str
    drawn: str


def fill(d: str, colour: str) -> str:
    return tag("path", d=d, fill=colour)


def line(d: str, colour: str, width: float = 4) -> str:
    return tag(
        "path",
        d=d,
        fill="none",
        stroke=colour,
        stroke_width=width,
        stroke_linecap="round",
        stroke_linejoin="round",
    )


def disc(x: float, y: float, r: float, colour: str) -> str:
    return tag("circle", cx=x, cy=y, r=r, fill=colour)


def ring(x: float, y: float, r: float, colour: str, width: float = 4) -> str:
    return tag(
        "circle", cx=x, cy=y, r=r, fill="none", stroke=colour, stroke_width=width
    )


def block(
    x: float, y: float, wide: float, high: float, colour: str, round_: float = 0
) -> str:
    return tag(
        "rect", x=x, y=y, width=wide, height=high, rx=round_ or None, fill=colour
    )


def placed(drawn: str, x: float, y: float, scale: float = 1, turn: float = 0) -> str:
    """Move a drawing made about the origin; ``turn`` is clockwise in degrees."""
    return tag(
        "g",
        drawn,
        transform=f"translate({num(x)} {num(y)}) rotate({num(turn)}) "
        f"scale({num(scale)})",
    )


def hand(colour: str) -> str:
    """An open hand about the origin, 40 wide and 52 high, fingers up."""
    fingers = "M-9 2V-16M-2.5 0V-22M4 0V-21M10.5 2V-15"
    return (
        line(fingers, colour, 5.6)
        + line("M-9 12L-17.5 -1", colour, 6.4)
        + fill("M-12 0H13.4V14C13.4 20 10 24 8 26H-6C-9 24 -12 19 -12 14z", colour)
    )


def bust(colour: str) -> str:
    """A head seen from the front, with shoulders, in the sign's own measure."""
    return tag("ellipse", cx=50, cy=41, rx=16.5, ry=20.5, fill=colour) + fill(
        "M21 83C22 68 34 64 41 63H59C66 64 78 68 79 83C71 91 61 95 50 95S29 91 21 83z",
        colour,
    )
