"""What does the board show that does not change: wood, inlays, frets, strings?"""

from travelers.kit.drawing import letters
from travelers.kit.drawing.board_plan import HEAD, LABEL, LINE, Plan
from travelers.kit.drawing.pen import num, tag, text

# Where a fretboard carries its inlays, counted from the nut; the octave has two.
INLAYS = (3, 5, 7, 9, 12, 15, 17, 19, 21)
OCTAVE = 12
# Wound strings are thicker; a board of more branches than this repeats the last.
WEIGHTS = (3.2, 2.5, 1.8, 1.4)


def wood(plan: Plan) -> str:
    """Draw what does not change: board, inlays, frets, strings, names."""
    long = plan.bridge - plan.nut
    drawn = [
        tag(
            "rect",
            x=plan.nut,
            y=plan.top,
            width=long,
            height=plan.bottom - plan.top,
            fill="#fff",
            stroke="#000",
            stroke_width=1.2,
            class_="fb-wood",
        ),
        *_inlays(plan),
        *_frets(plan),
        *_strings(plan),
        _nut(plan),
        _bridge(plan),
        *_names(plan),
    ]
    return tag("g", *drawn)


def _inlays(plan: Plan) -> list[str]:
    middle = (plan.top + plan.bottom) / 2
    drawn = []
    for number in INLAYS:
        if number > len(plan.frets):
            break
        x = (plan.edges[number - 1] + plan.edges[number]) / 2
        third = (plan.bottom - plan.top) / 3
        at = (middle - third, middle + third) if number == OCTAVE else (middle,)
        for y in at:
            drawn.append(
                tag("circle", cx=x, cy=y, r=17, fill="#eee", class_="fb-inlay")
            )
            drawn.append(
                tag("circle", cx=x, cy=y, r=10, fill="#f6f6f6", class_="fb-pearl")
            )
    return drawn


def _frets(plan: Plan) -> list[str]:
    return [
        tag(
            "path",
            d=f"M{num(x)} {num(plan.top)}V{num(plan.bottom)}",
            stroke="#777",
            stroke_width=2,
            class_="fb-fret",
        )
        for x in plan.edges[1:-1]
    ]


def _strings(plan: Plan) -> list[str]:
    joined = plan.joined
    drawn = []
    for i, strand in enumerate(plan.feeders):
        weight = WEIGHTS[min(i, len(WEIGHTS) - 1)]
        y = plan.rows[strand.code]
        path = f"M{num(30)} {num(y)}"
        if joined is None:
            path += f"H{num(plan.bridge)}"
        else:
            start, end = plan.joint()
            mid, to = (start + end) / 2, plan.rows[joined.code]
            path += (
                f"H{num(start)}C{num(mid)} {num(y)} {num(mid)} {num(to)} "
                f"{num(end)} {num(to)}"
            )
        drawn.append(_string(path, weight))
    if joined is not None:
        y = plan.rows[joined.code]
        end = plan.joint()[1]
        drawn.append(_string(f"M{num(end)} {num(y)}H{num(plan.bridge)}", 3.8))
    return drawn


def _string(path: str, weight: float) -> str:
    return tag(
        "path",
        d=path,
        fill="none",
        stroke="#555",
        stroke_width=weight,
        class_="fb-string",
    )


def _nut(plan: Plan) -> str:
    return tag(
        "rect",
        x=plan.nut - 7,
        y=plan.top - 3,
        width=9,
        height=plan.bottom - plan.top + 6,
        rx=2,
        fill="#fff",
        stroke="#000",
        stroke_width=1.2,
        class_="fb-nut",
    )


def _bridge(plan: Plan) -> str:
    return tag(
        "rect",
        x=plan.bridge - 3,
        y=plan.top - 3,
        width=7,
        height=plan.bottom - plan.top + 6,
        rx=2,
        fill="#000",
        class_="fb-bridge",
    )


def _names(plan: Plan) -> list[str]:
    drawn = []
    for strand in plan.feeders:
        y = plan.rows[strand.code]
        said = letters.clip(strand.name, 15, HEAD - 4, bold=True)
        drawn.append(
            tag(
                "circle", cx=20, cy=y, r=10, fill="#fff", stroke="#000",
                stroke_width=2, class_="fb-peg",
            )
        )  # fmt: skip
        drawn.append(text(8, y - 22, said, 15, font_weight=700, class_="fb-name"))
    joined = plan.joined
    if joined is not None:
        x, y = plan.joint()[1] + 2, plan.rows[joined.code] - 76
        room = letters.width(joined.name, 15, bold=True) + 8
        # The name may run over a fret, which stops short of it.
        drawn.append(
            tag(
                "rect", x=x - 4, y=y - 15, width=room, height=20, fill="#fff",
                class_="mark-ground",
            )
        )  # fmt: skip
        drawn.append(text(x, y, joined.name, 15, font_weight=700, class_="fb-name"))
    for i, (rise, said_lines) in enumerate(plan.lines):
        x = (plan.edges[i] + plan.edges[i + 1]) / 2
        for line, said in enumerate(said_lines):
            y = plan.top - 9 - LINE * (rise - 1 - line)
            half = letters.width(said, LABEL) / 2 + 2
            at = min(max(x, half), plan.wide - half)
            drawn.append(
                text(at, y, said, LABEL, text_anchor="middle", class_="fb-name")
            )
    return drawn
