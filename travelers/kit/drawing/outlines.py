"""On what drawing is the place of a defect touched?

Every outline has the same measure, 1000 by 700, lies with the nut to the left as
the board does, and stands alone as a file: a place is a pair of shares of width
and height, whatever the size on the screen.  The shapes are our own; the long
upper horn is a seabird's wing, and the solid body's end is its forked tail.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from travelers.kit.drawing.pen import num, picture, tag, text

WIDE, HIGH = 1000.0, 700.0
INK = "#1d1612"
BONE = "#fffaf0"
MAPLE = "#f1e2c4"
ROSEWOOD = "#d8b892"
METAL = "#e4e0d8"
SHAPES = ("solid", "semi_hollow")
FRET_COUNT = 22

_SOLID = (
    "M340 312C302 298 262 268 232 222C214 194 190 176 164 166C146 158 148 136 170 133"
    "C258 122 330 148 404 150C480 152 524 124 592 96C664 67 770 62 844 112"
    "C904 152 948 206 954 268C956 300 934 314 910 324C876 338 872 362 896 376"
    "C922 392 932 412 926 438C908 512 856 584 768 620C682 654 592 614 522 580"
    "C462 552 404 556 352 570C310 582 270 580 252 560C242 546 252 534 268 528"
    "C318 508 350 460 340 388z"
)
_SEMI_HOLLOW = (
    "M350 312C340 262 324 228 290 202C268 184 276 158 302 150C364 130 424 166 492 160"
    "C572 152 640 70 752 70C862 70 942 150 946 262C949 350 904 402 882 458"
    "C850 542 770 626 650 622C562 619 500 560 430 566C360 572 304 606 226 604"
    "C192 602 186 584 210 574C292 540 358 470 350 388z"
)
_HEADSTOCK = (
    "M196 -40C160 -44 128 -62 92 -70C62 -76 34 -66 22 -44C14 -28 26 -18 30 -2"
    "C34 16 24 30 34 44C46 60 76 62 104 56C136 48 164 42 196 40z"
)
# Six tuners, three on each side of the headstock.
_TUNERS = ((62, -42), (104, -40), (146, -31), (62, 34), (104, 34), (146, 28))


@dataclass(frozen=True, slots=True)
class Place:
    """A marked place: shares of width and height, and what is written there."""

    x: float
    y: float
    label: str


def outline(
    part: str,
    shape: str,
    marks: Iterable[tuple[float, float, int | str]] = (),
    *,
    title: str = "",
    desc: str = "",
) -> str:
    """Draw ``body``, ``neck``, ``electronics`` or ``instrument`` with its places."""
    if part not in _PARTS or shape not in SHAPES:
        raise ValueError(f"No outline of {part} in the shape {shape}.")
    places = [Place(x, y, str(label)) for x, y, label in marks]
    if any(not (0 <= p.x <= 1 and 0 <= p.y <= 1) for p in places):
        raise ValueError("A place lies between 0 and 1 both ways.")
    ground = tag("rect", width=WIDE, height=HIGH, fill=BONE, class_="outline-ground")
    return picture(
        ground,
        _drawn(part, shape),
        *(_ring(p) for p in places),
        box=(WIDE, HIGH),
        size=(WIDE, HIGH),
        title=title or part.capitalize(),
        desc=desc,
        class_="outline",
    )


@cache
def _drawn(part: str, shape: str) -> str:
    """Draw a part without its places; there are few, and screens show them often."""
    return _PARTS[part](shape)


def _ring(place: Place) -> str:
    x, y = place.x * WIDE, place.y * HIGH
    label = place.label[:4]
    return tag(
        "g",
        tag("circle", cx=x, cy=y, r=27, fill="none", stroke="#fff", stroke_width=12),
        tag("circle", cx=x, cy=y, r=27, fill="#fff", stroke=INK, stroke_width=5),
        text(
            x, y + 9, label, 26 if len(label) < 3 else 19,
            text_anchor="middle", font_weight=700, fill=INK,
        ),
        class_="outline-place",
    )  # fmt: skip


def _shape(d: str, fill: str, width: float = 4, dash: str | None = None) -> str:
    return tag(
        "path",
        d=d,
        fill=fill,
        stroke=INK,
        stroke_width=width,
        stroke_linejoin="round",
        stroke_linecap="round",
        stroke_dasharray=dash,
    )


def _box(x: float, y: float, wide: float, high: float, fill: str, rx: float = 6) -> str:
    return tag(
        "rect", x=x, y=y, width=wide, height=high, rx=rx, fill=fill,
        stroke=INK, stroke_width=3,
    )  # fmt: skip


def _dot(x: float, y: float, r: float, fill: str) -> str:
    return tag("circle", cx=x, cy=y, r=r, fill=fill, stroke=INK, stroke_width=3)


def _body(shape: str) -> str:
    return (
        _wood(shape)
        + _box(318, 314, 92, 72, BONE, 3)
        + "".join(_dot(x, y, 4, METAL) for x in (336, 388) for y in (330, 370))
        + _pickup(470, 292)
        + _pickup(612, 292)
        + _bridge(714, 350)
        + _controls()
    )


def _wood(shape: str) -> str:
    if shape == "solid":
        return _shape(_SOLID, MAPLE, 5)
    feather = "M610 226C654 178 742 162 810 202C756 226 678 244 610 226z"
    return (
        _shape(_SEMI_HOLLOW, MAPLE, 5)
        + _shape(
            "M530 196C600 182 668 106 752 106C838 106 904 172 910 262",
            "none",
            2.4,
            "9 8",
        )
        + _shape(
            "M500 536C560 552 600 588 652 588C736 588 816 530 848 446",
            "none",
            2.4,
            "9 8",
        )
        + _shape(feather, BONE, 3.4)
        + _shape("M626 222C684 216 750 208 796 202", "none", 2.4)
    )


def _pickup(x: float, y: float) -> str:
    poles = "".join(_dot(x + 24, y + 15 + 17.2 * i, 5, METAL) for i in range(6))
    return _box(x, y, 48, 116, "#fff", 8) + poles


def _bridge(x: float, y: float) -> str:
    saddles = "".join(
        _box(x + 10, y - 48 + 17 * i, 26 + 2 * i, 11, METAL, 2) for i in range(6)
    )
    return _box(x, y - 56, 60, 112, "#fff", 5) + saddles


def _controls() -> str:
    return (
        _dot(690, 498, 25, METAL)
        + _dot(690, 498, 7, BONE)
        + _dot(768, 470, 25, METAL)
        + _dot(768, 470, 7, BONE)
        + _box(568, 520, 64, 17, METAL, 8)
        + _dot(610, 528, 9, "#fff")
        + _dot(846, 446, 15, BONE)
    )


def _neck(_: str) -> str:
    """Draw the front above and the back below, both widened for the finger."""
    front = _stick() + _fretboard()
    back = _stick() + _shape("M232 0H760", "none", 2.4, "14 8") + _heel()
    return _moved(front, 0, 196, 1, 1.62) + _moved(back, 0, 506, 1, 1.62)


def _stick() -> str:
    tuners = "".join(_dot(x, y, 9, METAL) for x, y in _TUNERS)
    return (
        _shape("M196 -40L962 -56V56L196 40z", MAPLE)
        + _shape(_HEADSTOCK, MAPLE)
        + tuners
    )


def _fretboard() -> str:
    nut, end = 206.0, 948.0
    # The last fret stands at 1 - 2 ** (-22 / 12) of the scale from the nut.
    scale = (end - 14 - nut) / (1 - 2 ** (-FRET_COUNT / 12))
    at = [nut + scale * (1 - 2 ** (-i / 12)) for i in range(FRET_COUNT + 1)]
    frets = "".join(f"M{num(x)} {num(-_half(x))}V{num(_half(x))}" for x in at[1:])
    inlays = "".join(
        _dot((at[n - 1] + at[n]) / 2, y, 5.5, BONE)
        for n in (3, 5, 7, 9, 12, 15, 17, 19, 21)
        for y in ((-22, 22) if n == 12 else (0,))
    )
    board = (
        f"M{num(nut)} {num(-_half(nut))}L{num(end)} {num(-_half(end))}"
        f"V{num(_half(end))}L{num(nut)} {num(_half(nut))}z"
    )
    return (
        _shape(board, ROSEWOOD, 3)
        + _shape(frets, "none", 3)
        + inlays
        + _box(196, -39, 10, 78, "#fff", 2)
    )


def _half(x: float) -> float:
    """Half the fretboard's width at a distance from the left."""
    return 36 + 15 * (x - 196) / 766


def _heel() -> str:
    holes = "".join(_dot(x, y, 6, METAL) for x in (862, 930) for y in (-30, 30))
    return _shape("M800 -52C780 -20 780 20 800 52", "none", 3) + holes


def _electronics(_: str) -> str:
    wires = (
        "M212 208C300 250 330 380 300 452M212 492C260 500 280 480 300 470"
        "M360 440C430 380 470 360 540 330M560 360C640 420 640 470 560 520"
        "M620 310C700 250 760 260 812 300M590 548C700 560 790 520 846 398"
    )
    return (
        _shape(wires, "none", 5)
        + _harness_pickup(150, 92)
        + _harness_pickup(150, 376)
        + _box(270, 418, 120, 64, METAL, 8)
        + _shape("M330 450L352 396", "none", 8)
        + _dot(353, 392, 13, BONE)
        + _pot(566, 300)
        + _pot(536, 560)
        + _box(800, 282, 104, 116, METAL, 10)
        + _dot(852, 340, 33, "#fff")
        + _dot(852, 340, 15, MAPLE)
    )


def _harness_pickup(x: float, y: float) -> str:
    poles = "".join(_dot(x + 38, y + 32 + 34 * i, 10, METAL) for i in range(6))
    return _box(x, y, 76, 234, "#fff", 14) + poles


def _pot(x: float, y: float) -> str:
    lugs = "".join(_box(x - 47 + 35 * i, y + 52, 24, 34, METAL, 4) for i in range(3))
    return lugs + _dot(x, y, 66, METAL) + _dot(x, y, 24, "#fff")


def _instrument(shape: str) -> str:
    strings = "".join(
        f"M132 {num(337 + 5.2 * i)}L836 {num(322.4 + 11.04 * i)}" for i in range(6)
    )
    return (
        _moved(_body(shape), 362, 124, 0.645, 0.645)
        + _moved(_stick() + _fretboard(), 2, 350, 0.645, 0.645)
        + _shape(strings, "none", 1.2)
    )


def _moved(drawn: str, x: float, y: float, wider: float, higher: float) -> str:
    return tag(
        "g",
        drawn,
        transform=f"translate({num(x)} {num(y)}) scale({num(wider)} {num(higher)})",
    )


_PARTS = {
    "body": _body,
    "neck": _neck,
    "electronics": _electronics,
    "instrument": _instrument,
}
