"""Where does a reading lie between its limits, drawn as a bar?"""

from dataclasses import dataclass

from travelers.kit.drawing.letters import width
from travelers.kit.drawing.pen import num, picture, tag, text
from travelers.kit.refusals import gettext_noop

WIDE, HIGH = 600.0, 96.0
LEFT, RIGHT = 40.0, 560.0
TOP, BOTTOM = 34.0, 58.0
# On the smallest tablet the bar is shown at five sixths: the words stay above 20 px.
WORD = 24
# Two posts stand half the bar apart.
WORD_ROOM = (RIGHT - LEFT) / 2 - 12


@dataclass(frozen=True, slots=True)
class LimitWords:
    """``value`` fills its brace; the words are said beside the drawing too."""

    title: str = gettext_noop("Reading {value} between {lower} and {upper}")
    empty: str = gettext_noop("Limits {lower} to {upper}")
    lower: str = gettext_noop("at least {value}")
    upper: str = gettext_noop("at most {value}")
    nominal: str = gettext_noop("aim {value}")


@dataclass(frozen=True, slots=True)
class _Scale:
    """The values at the ends of the bar; a missing limit leaves its side open."""

    low: float
    high: float

    def x(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return LEFT + (RIGHT - LEFT) * min(1.0, max(0.0, share))


def limit_bar(
    value: float | None,
    lower: float | None,
    nominal: float | None,
    upper: float | None,
    *,
    unit: str = "",
    digits: int = 2,
    words_: LimitWords | None = None,
) -> str:
    """Draw the allowed span thick, its limits as fence posts, the reading as a
    pointer.  A reading off the bar stands at its end; its number says how far.

    The scale is written into data attributes, so that a keypad can move the
    pointer while a number is being typed.
    """
    said = words_ or LimitWords()
    scale = _scale(lower, nominal, upper)
    show = _shown(unit, digits)
    drawn = [*_fence(scale, lower, nominal, upper), _pointer(scale, value)]
    drawn.extend(_labels(scale, lower, nominal, upper, said, show))
    title = (said.empty if value is None else said.title).format(
        value=show(value), lower=show(lower), upper=show(upper)
    )
    return picture(
        *drawn,
        box=(WIDE, HIGH),
        title=title,
        class_="limits",
        data_shop_low=repr(scale.low),
        data_shop_high=repr(scale.high),
        data_shop_left=LEFT,
        data_shop_right=RIGHT,
        data_shop_lower=None if lower is None else repr(float(lower)),
        data_shop_upper=None if upper is None else repr(float(upper)),
    )


def _scale(lower: float | None, nominal: float | None, upper: float | None) -> _Scale:
    known = [float(v) for v in (lower, nominal, upper) if v is not None]
    if not known:
        raise ValueError("A bar of limits needs a limit or an aim.")
    if lower is not None and upper is not None and lower > upper:
        raise ValueError("The lower limit is above the upper one.")
    low, high = min(known), max(known)
    span = (high - low) or abs(high) or 1.0
    # Half a tolerance is shown beyond each limit: a near miss is still on the bar.
    return _Scale(low - span / 2, high + span / 2)


def _fence(
    scale: _Scale, lower: float | None, nominal: float | None, upper: float | None
) -> list[str]:
    left = LEFT if lower is None else scale.x(lower)
    right = RIGHT if upper is None else scale.x(upper)
    middle = (TOP + BOTTOM) / 2
    drawn = [
        tag(
            "path",
            d=f"M{num(LEFT)} {num(middle)}H{num(RIGHT)}",
            stroke="#777",
            stroke_width=2,
            class_="limits-line",
        ),
        tag(
            "rect",
            x=left,
            y=TOP,
            width=right - left,
            height=BOTTOM - TOP,
            fill="#ddd",
            stroke="#000",
            stroke_width=1.5,
            class_="limits-inside",
        ),
    ]
    return [*drawn, *_posts(scale, lower, nominal, upper)]


def _posts(
    scale: _Scale, lower: float | None, nominal: float | None, upper: float | None
) -> list[str]:
    limits = [v for v in (lower, upper) if v is not None]
    drawn = [
        tag(
            "path",
            d=f"M{num(scale.x(v))} {num(TOP - 8)}V{num(BOTTOM + 8)}",
            stroke="#000",
            stroke_width=4,
            class_="limits-post",
        )
        for v in limits
    ]
    if nominal is not None:
        drawn.append(
            tag(
                "path",
                d=f"M{num(scale.x(nominal))} {num(TOP)}V{num(BOTTOM)}",
                stroke="#000",
                stroke_width=1.5,
                stroke_dasharray="4 3",
                class_="limits-aim",
            )
        )
    return drawn


def _pointer(scale: _Scale, value: float | None) -> str:
    """Draw the reading; without one the pointer waits hidden for the keypad."""
    x = scale.x(value) if value is not None else LEFT
    return tag(
        "path",
        d=f"M0 {num(TOP + 8)}L-11 {num(TOP - 16)}H11zM-1.5 {num(TOP)}h3v24h-3z",
        fill="#000",
        transform=f"translate({num(x)} 0)",
        visibility="hidden" if value is None else None,
        class_="limits-pointer",
        data_shop_pointer="",
    )


def _labels(
    scale: _Scale,
    lower: float | None,
    nominal: float | None,
    upper: float | None,
    said: LimitWords,
    show: "_Show",
) -> list[str]:
    drawn = []
    for value, told, outward in ((lower, said.lower, -1), (upper, said.upper, 1)):
        if value is None:
            continue
        words = told.format(value=show(value))
        # What is too wide to stand next to its neighbour is moved outward.
        over = max(0.0, width(words, WORD) - WORD_ROOM) / 2
        x = scale.x(value) + outward * over
        drawn.append(
            text(x, 86, words, WORD, text_anchor="middle", class_="limits-word")
        )
    if nominal is not None and lower is None and upper is None:
        drawn.append(
            text(
                scale.x(nominal),
                86,
                said.nominal.format(value=show(nominal)),
                WORD,
                text_anchor="middle",
                class_="limits-word",
            )
        )
    return drawn


@dataclass(frozen=True, slots=True)
class _Show:
    """Writes a number with its unit; an absent one as a dash."""

    unit: str
    digits: int

    def __call__(self, value: float | None) -> str:
        if value is None:
            return "\N{EN DASH}"
        return f"{value:.{self.digits}f} {self.unit}".rstrip()


def _shown(unit: str, digits: int) -> _Show:
    return _Show(unit, digits)
