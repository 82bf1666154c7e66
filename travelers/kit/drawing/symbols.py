"""What does a QR symbol look like, drawn as one path?

Error correction Q: one stain may take a quarter of the data away.  The version is
the smallest that holds the text, and as all links of a shop are of one length, it is
the same for all of them.
"""

from collections import defaultdict
from collections.abc import Sequence
from functools import lru_cache
from itertools import groupby, pairwise, product

from travelers.kit.drawing.pen import picture, tag

# ISO/IEC 18004 asks for four white modules all round.
QUIET = 4
Matrix = tuple[tuple[bool, ...], ...]
Corner = tuple[int, int]


@lru_cache(maxsize=512)
def matrix(text: str) -> Matrix:
    """Give the dark modules of a text's symbol, row by row, without quiet zone."""
    from qrcode.constants import ERROR_CORRECT_Q
    from qrcode.main import QRCode

    code = QRCode(error_correction=ERROR_CORRECT_Q, border=0)
    code.add_data(text)
    code.make(fit=True)
    return tuple(tuple(bool(module) for module in row) for row in code.get_matrix())


# CSS counts 96 px to the inch.
PX_PER_MM = 96 / 25.4


def symbol(text: str, *, title: str, module_mm: float | None = None) -> str:
    """Draw a symbol with its quiet zone; without a width of its modules the style
    sheet gives it its size."""
    rows = matrix(text)
    side = len(rows) + 2 * QUIET
    return picture(
        tag("rect", width=side, height=side, fill="#fff"),
        tag("path", d=_outline(rows), fill="#000", fill_rule="evenodd"),
        box=(side, side),
        title=title,
        size=(side * module_mm * PX_PER_MM,) * 2 if module_mm else None,
        class_="qr",
    )


def module_mm(text: str, *, side_mm: float) -> float:
    """Say how wide a module is when the symbol with its quiet zone is so wide."""
    return side_mm / (len(matrix(text)) + 2 * QUIET)


def _outline(rows: Matrix) -> str:
    """Go once round every dark area; a bar for each run would be twice as long."""
    ways = _edges(rows)
    drawn = []
    while ways:
        turn = [next(iter(ways))]
        while len(turn) == 1 or turn[-1] != turn[0]:
            here = turn[-1]
            turn.append(ways[here].pop())
            if not ways[here]:
                del ways[here]
        drawn.append(_written(turn))
    return "".join(drawn)


def _edges(rows: Matrix) -> dict[Corner, list[Corner]]:
    """Give the edges between dark and light, each with the dark on its right."""
    side = len(rows)
    ways: dict[Corner, list[Corner]] = defaultdict(list)
    for y, x in product(range(side), repeat=2):
        if not rows[y][x]:
            continue
        corners = ((x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1))
        beyond = ((x, y - 1), (x + 1, y), (x, y + 1), (x - 1, y))
        for place, (nx, ny) in enumerate(beyond):
            if not (0 <= nx < side and 0 <= ny < side and rows[ny][nx]):
                ways[corners[place]].append(corners[(place + 1) % 4])
    return ways


def _written(turn: Sequence[Corner]) -> str:
    x, y = turn[0]
    steps = [(bx - ax, by - ay) for (ax, ay), (bx, by) in pairwise(turn)]
    drawn = [f"M{x + QUIET} {y + QUIET}"]
    for (dx, dy), same in groupby(steps):
        far = len(list(same))
        drawn.append(f"h{dx * far}" if dx else f"v{dy * far}")
    return "".join([*drawn, "z"])
