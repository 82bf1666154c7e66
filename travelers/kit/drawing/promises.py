"""Did as many come true as were said to, drawn over what was said?"""

from collections.abc import Sequence
from dataclasses import dataclass

from travelers.kit.drawing.pen import num, picture, tag, text
from travelers.kit.refusals import gettext_noop

WIDE, HIGH = 460.0, 440.0
LEFT, RIGHT = 70.0, 440.0
TOP, BOTTOM = 20.0, 380.0
WORD = 16
TICKS_PCT = (0, 20, 40, 60, 80, 100)


@dataclass(frozen=True, slots=True)
class Promise:
    """What was said and what came, in percent; between which shares it may lie."""

    said: float
    came: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class PromiseWords:
    title: str = gettext_noop("How many came true, over how many were said to")
    said: str = gettext_noop("said to come true (%)")
    came: str = gettext_noop("came true (%)")


def promises(points: Sequence[Promise], *, words_: PromiseWords | None = None) -> str:
    """Draw a dot for each confidence, on the diagonal where what was said is true.

    The stroke through a dot spans what so many forecasts leave open.
    """
    said = words_ or PromiseWords()
    return picture(
        *_frame(said),
        *(part for one in points for part in _dot(one)),
        box=(WIDE, HIGH),
        title=said.title,
        class_="promises",
    )


def _x(pct: float) -> float:
    return LEFT + (RIGHT - LEFT) * pct / 100


def _y(pct: float) -> float:
    return BOTTOM - (BOTTOM - TOP) * pct / 100


def _frame(said: PromiseWords) -> list[str]:
    drawn = []
    for pct in TICKS_PCT:
        across = f"M{num(LEFT)} {num(_y(pct))}H{num(RIGHT)}"
        upright = f"M{num(_x(pct))} {num(TOP)}V{num(BOTTOM)}"
        drawn += [
            tag("path", d=across + upright, stroke="#ccc", class_="promises-grid"),
            _word(_x(pct), BOTTOM + 22, f"{pct}", "middle"),
            _word(LEFT - 10, _y(pct) + 5, f"{pct}", "end"),
        ]
    diagonal = f"M{num(LEFT)} {num(BOTTOM)}L{num(RIGHT)} {num(TOP)}"
    middle = (TOP + BOTTOM) / 2
    return [
        *drawn,
        tag(
            "path",
            d=diagonal,
            stroke="#777",
            stroke_width=2,
            stroke_dasharray="6 4",
            class_="promises-true",
        ),
        _word((LEFT + RIGHT) / 2, HIGH - 12, said.said, "middle"),
        text(
            20,
            middle,
            said.came,
            WORD,
            text_anchor="middle",
            transform=f"rotate(-90 20 {num(middle)})",
            class_="promises-word",
        ),
    ]


def _word(x: float, y: float, said: str, anchor: str) -> str:
    return text(x, y, said, WORD, text_anchor=anchor, class_="promises-word")


def _dot(one: Promise) -> list[str]:
    x = _x(one.said)
    span = f"M{num(x)} {num(_y(one.least))}V{num(_y(one.most))}"
    return [
        tag("path", d=span, stroke="#000", stroke_width=3, class_="promises-span"),
        tag("circle", cx=x, cy=_y(one.came), r=7, class_="promises-dot"),
    ]
