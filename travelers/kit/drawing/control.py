"""Does a value stay as it was, drawn point by point between its limits?"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from travelers.kit.drawing.pen import num, picture, tag, text, words
from travelers.kit.refusals import gettext_noop

WIDE, HIGH = 1000.0, 320.0
LEFT, RIGHT, TOP, BOTTOM = 66.0, 868.0, 18.0, 288.0
WORD, RULE = 15, 13
# A figure of that size, with some air.
RULE_WIDE = 7.5
# Above and below what is drawn stays so much of it free.
AIR = 0.06
STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
MOST_TICKS = 6
# From a value to its height on the drawing.
Scale = Callable[[float], float]


@dataclass(frozen=True, slots=True)
class Point:
    """A point of a chart: what it is of, where it leads, and which rules it breaks."""

    value: float
    name: str
    href: str = ""
    rules: str = ""


@dataclass(frozen=True, slots=True)
class Limits:
    """The lines of a chart; the tolerance's limits where they stand for each point."""

    center: float
    lower: float
    upper: float
    least: float | None = None
    most: float | None = None


@dataclass(frozen=True, slots=True)
class ControlWords:
    title: str = gettext_noop("Values in their order, with the limits of chance")
    center: str = gettext_noop("mean")
    limit: str = gettext_noop("limit of chance")
    tolerance: str = gettext_noop("tolerance")


def control(
    points: Sequence[Point], limits: Limits, *, words_: ControlWords | None = None
) -> str:
    """Draw a dot for each point; one that a rule names is a diamond.

    The numbers of its rules stand above it where they are others than at the diamond
    before, and where there is room.
    """
    said = words_ or ControlWords()
    low, high = _span(points, limits)

    def y(value: float) -> float:
        return BOTTOM - (BOTTOM - TOP) * (value - low) / (high - low)

    step = (RIGHT - LEFT) / max(1, len(points) - 1)
    spots = [(LEFT + n * step, y(one.value)) for n, one in enumerate(points)]
    line = "M" + "L".join(f"{num(x)} {num(at)}" for x, at in spots)
    return picture(
        *_ticks(low, high, y),
        *_lines(limits, y, said),
        tag("path", d=line, fill="none", stroke="#777", class_="control-way"),
        *(_spot(x, at, one) for (x, at), one in zip(spots, points, strict=True)),
        *_rules(spots, points),
        box=(WIDE, HIGH),
        title=said.title,
        role="group",
        class_="control",
    )


def _span(points: Sequence[Point], limits: Limits) -> tuple[float, float]:
    """Say from where to where is drawn; a tolerance far off is left out."""
    shown = [one.value for one in points] + [limits.lower, limits.upper]
    low, high = min(shown), max(shown)
    wide = (high - low) or abs(high) or 1.0
    for far in (limits.least, limits.most):
        if far is not None and low - wide <= far <= high + wide:
            low, high = min(low, far), max(high, far)
    air = ((high - low) or abs(high) or 1.0) * AIR
    return low - air, high + air


def _ticks(low: float, high: float, y: Scale) -> list[str]:
    rough = (high - low) / MOST_TICKS
    power = 10 ** math.floor(math.log10(rough))
    step = next(one * power for one in STEPS if one * power >= rough)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    if step * 10**decimals % 1 > 1e-9:
        decimals += 1
    first = math.ceil(low / step)
    drawn = []
    for n in range(first, math.floor(high / step) + 1):
        at = y(n * step)
        drawn += [
            tag(
                "path",
                d=f"M{num(LEFT)} {num(at)}H{num(RIGHT)}",
                stroke="#ddd",
                class_="control-grid",
            ),
            text(
                LEFT - 8,
                at + 5,
                f"{n * step:.{decimals}f}",
                WORD,
                text_anchor="end",
                class_="control-word",
            ),
        ]
    return drawn


def _lines(limits: Limits, y: Scale, said: ControlWords) -> list[str]:
    lines = [
        (limits.center, said.center, "control-center", None),
        (limits.lower, said.limit, "control-limit", "7 4"),
        (limits.upper, said.limit, "control-limit", "7 4"),
    ]
    for far in (limits.least, limits.most):
        if far is not None and TOP <= y(far) <= BOTTOM:
            lines.append((far, said.tolerance, "control-tolerance", "2 3"))
    drawn, taken = [], [BOTTOM + 40]
    for value, name, kind, dashes in sorted(lines, key=lambda line: line[0]):
        at = y(value)
        # Names of lines that lie close to each other are moved apart.
        word = min(at + 5, taken[-1] - WORD - 1)
        taken.append(word)
        drawn += [
            tag(
                "path",
                d=f"M{num(LEFT)} {num(at)}H{num(RIGHT)}",
                stroke="#000",
                stroke_width=2,
                stroke_dasharray=dashes,
                class_=kind,
            ),
            text(RIGHT + 8, word, name, WORD, class_=f"control-word {kind}-word"),
        ]
    return drawn


def _spot(x: float, y: float, one: Point) -> str:
    told = tag("title", words(one.name))
    if one.rules:
        shape = f"M{num(x)} {num(y - 8)}l8 8l-8 8l-8 -8z"
        drawn = tag("path", told, d=shape, class_="control-signal")
    else:
        drawn = tag("circle", told, cx=x, cy=y, r=3.5, class_="control-dot")
    if one.href:
        drawn = tag("a", drawn, href=one.href, aria_label=one.name)
    return drawn


def _rules(
    spots: Sequence[tuple[float, float]], points: Sequence[Point]
) -> Iterator[str]:
    """Name the rules beside the links: what a link shows must be part of its name."""
    before, free = "", -math.inf
    for (x, y), one in zip(spots, points, strict=True):
        half = len(one.rules) * RULE_WIDE / 2
        if one.rules and one.rules != before and x - half >= free:
            yield text(
                x,
                y - 11,
                one.rules,
                RULE,
                text_anchor="middle",
                class_="control-rule",
            )
            free = x + half + RULE_WIDE
            before = one.rules
        elif not one.rules:
            before = ""
