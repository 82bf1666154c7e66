"""Which drawing warns, commands or forbids: safety signs by their ISO 7010 code.

The codes and what they refer to follow the standard; the drawings are our own,
of simple geometry, and so is the choice of what a guitar shop needs.  Frames
carry the meaning without colour: a triangle warns, a disc commands, a ring with
a slash forbids, a square shows the way to safety or to fire equipment.  Safety
colours are the nearest screen colours to those in common use (from memory).
"""

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from travelers.kit.drawing.pen import picture, tag
from travelers.kit.drawing.signs_mandatory import MANDATORY
from travelers.kit.drawing.signs_other import FIRE, PROHIBITION, RED, SAFE, SAFE_GREEN
from travelers.kit.drawing.signs_warning import WARNING
from travelers.kit.drawing.strokes import BLUE, Pictogram

YELLOW = "#f9b800"

SIGNS: Mapping[str, Pictogram] = MappingProxyType(
    {**WARNING, **MANDATORY, **PROHIBITION, **SAFE, **FIRE}
)
CODES = tuple(SIGNS)


@lru_cache(maxsize=1024)
def sign(code: str, *, size: float = 48, label: str = "") -> str:
    """Draw a sign; ``label`` replaces its English referent in the title."""
    if code not in SIGNS:
        raise ValueError(f"No drawing for the sign {code}.")
    drawing = SIGNS[code]
    return picture(
        *_framed(code[0], drawing.drawn),
        box=(100, 100),
        size=(size, size),
        title=label or drawing.referent,
        class_=f"sign sign-{code[0].lower()}",
    )


def referent(code: str) -> str:
    """Say in English what a sign refers to; unknown codes raise ``ValueError``."""
    if code not in SIGNS:
        raise ValueError(f"No drawing for the sign {code}.")
    return SIGNS[code].referent


def _framed(kind: str, drawn: str) -> list[str]:
    match kind:
        case "W":
            return [_triangle(), drawn]
        case "M":
            return [
                tag("circle", cx=50, cy=50, r=48, fill="#fff"),
                tag("circle", cx=50, cy=50, r=46, fill=BLUE),
                drawn,
            ]
        case "P":
            return [
                tag("circle", cx=50, cy=50, r=48, fill="#fff"),
                drawn,
                _forbidding(),
            ]
        case "E":
            return [*_square(SAFE_GREEN), drawn]
        case _:
            return [*_square(RED), drawn]


def _triangle() -> str:
    corners = "M50 9L95 87H5z"
    return tag(
        "path",
        d=corners,
        fill=YELLOW,
        stroke="#000",
        stroke_width=7,
        stroke_linejoin="round",
    )


def _forbidding() -> str:
    ring = tag("circle", cx=50, cy=50, r=42, fill="none", stroke=RED, stroke_width=9)
    slash = tag("path", d="M20.3 20.3L79.7 79.7", stroke=RED, stroke_width=8)
    return slash + ring


def _square(fill: str) -> list[str]:
    return [
        tag("rect", x=1, y=1, width=98, height=98, rx=5, fill="#fff"),
        tag("rect", x=4, y=4, width=92, height=92, rx=4, fill=fill),
    ]
