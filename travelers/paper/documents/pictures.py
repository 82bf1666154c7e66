"""What is drawn on paper besides symbols: signs, shapes of parts, the stages?"""

from collections.abc import Sequence

from travelers.kit.drawing import letters, outlines, signs
from travelers.kit.drawing.pen import num, picture, tag, text
from travelers.routes.rules import Branch

SIGNS_IN_A_ROW = 5
SIGN, SIGN_GAP = 100.0, 8.0
TINTS = (outlines.BONE, outlines.MAPLE, outlines.ROSEWOOD, outlines.METAL)


def sign_row(codes: Sequence[str], told: str) -> str:
    """Draw safety signs as one picture, five in a row."""
    step = SIGN + SIGN_GAP
    drawn = []
    for place, code in enumerate(codes):
        row, column = divmod(place, SIGNS_IN_A_ROW)
        sign = sign_of(code)
        at = f'<svg x="{num(step * column)}" y="{num(step * row)}" '
        drawn.append(sign.replace("<svg ", at, 1))
    rows = row + 1
    box = (step * SIGNS_IN_A_ROW - SIGN_GAP, step * rows - SIGN_GAP)
    return picture(*drawn, box=box, title=told, class_=f"signs signs-{rows}")


def sign_of(code: str, told: str = "") -> str:
    """Draw a sign; of one that has no drawing yet, its code in a frame."""
    if code in signs.SIGNS:
        return signs.sign(code, size=SIGN, label=told)
    return picture(
        tag("rect", x=3, y=3, width=94, height=94, rx=8, fill="#fff", stroke="#000",
            stroke_width=5),
        text(50, 60, code, 28, font_weight=700, text_anchor="middle"),
        box=(100, 100),
        size=(SIGN, SIGN),
        title=told or code,
    )  # fmt: skip


def part_shape(branch: Branch, shape: str, told: str) -> str:
    """Draw what a branch is about in line, without the tints that a printer dots."""
    part = "instrument" if branch is Branch.ASSEMBLY else branch.lower()
    drawn = outlines.outline(part, shape, title=told)
    for tint in TINTS:
        drawn = drawn.replace(f'"{tint}"', '"#fff"')
    return drawn


def stages(names: Sequence[str], here: str, told: str) -> str:
    """Draw the shop as a fingerboard on its side, with a dot at one stage."""
    wide, high, size = 1000.0, 150.0, 76.0
    step = (wide - 12) / len(names)
    place = names.index(here)
    frets = "".join(
        f"M{num(8 + step * n)} 0V{num(high)}" for n in range(len(names) + 1)
    )
    x = 8 + step * (place + 0.5)
    said = letters.clip(here, size, wide, bold=True)
    long = letters.width(said, size, bold=True)
    left = min(max(x - long / 2, 0), wide - long)
    return picture(
        tag("path", d=frets, stroke="#000", stroke_width=5),
        tag("path", d=f"M8 2H{num(wide)}M8 {num(high - 2)}H{num(wide)}",
            stroke="#000", stroke_width=4),
        tag("rect", width=16, height=high, fill="#000"),
        tag("circle", cx=x, cy=high / 2, r=min(step * 0.36, 34), fill="#000"),
        text(left, high + size + 4, said, size, font_weight=700),
        box=(wide, high + size + 26),
        title=told,
    )  # fmt: skip
