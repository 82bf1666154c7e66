"""How long is a bar in a row of a table, and where does a mark stand on it?"""

from travelers.kit.drawing.pen import num, picture, tag

WIDE, HIGH = 300.0, 22.0
LEFT, RIGHT = 8.0, 292.0
MIDDLE = HIGH / 2
# Half the width of a diamond.
REACH = 7.0


def bar(share: float, *, title: str, mark: float | None = None) -> str:
    """Draw a bar over so much of its row, and a stroke across where ``mark`` is.

    Both are shares from 0 to 1; what is beyond stands at the end.
    """
    drawn = [_rule(), _box(LEFT, _x(share))]
    if mark is not None:
        drawn.append(_across(_x(mark)))
    return _row(drawn, title)


def span(first: float, likely: float, last: float, *, mark: float, title: str) -> str:
    """Draw a line from the first to the last, a dot at the likely one, and a diamond.

    All are shares from 0 to 1; the diamond, ``mark``, is what they are held against.
    """
    line = f"M{num(_x(first))} {num(MIDDLE)}H{num(_x(last))}"
    here = _x(mark)
    diamond = f"M{num(here - REACH)} {num(MIDDLE)}l{num(REACH)} {num(-REACH)} " + (
        f"{num(REACH)} {num(REACH)} {num(-REACH)} {num(REACH)}z"
    )
    return _row(
        [
            _rule(),
            tag("path", d=line, stroke="#000", stroke_width=3, class_="bar-span"),
            tag("circle", cx=_x(likely), cy=MIDDLE, r=5, class_="bar-dot"),
            tag("path", d=diamond, fill="#fff", stroke="#000", class_="bar-due"),
        ],
        title,
    )


def _x(share: float) -> float:
    return LEFT + (RIGHT - LEFT) * min(1.0, max(0.0, share))


def _rule() -> str:
    line = f"M{num(LEFT)} {num(MIDDLE)}H{num(RIGHT)}"
    return tag("path", d=line, stroke="#bbb", class_="bar-rule")


def _box(left: float, right: float) -> str:
    return tag(
        "rect", x=left, y=3, width=max(1.0, right - left), height=16, class_="bar-box"
    )


def _across(x: float) -> str:
    line = f"M{num(x)} 0V{num(HIGH)}"
    return tag(
        "path",
        d=line,
        stroke="#000",
        stroke_width=2,
        stroke_dasharray="4 2",
        class_="bar-mark",
    )


def _row(drawn: list[str], title: str) -> str:
    return picture(*drawn, box=(WIDE, HIGH), title=title, class_="bar")
