"""How are the warning signs (W) of a guitar shop drawn?"""

from collections.abc import Mapping
from math import cos, pi, sin

from travelers.kit.drawing.pen import num
from travelers.kit.drawing.strokes import (
    BLACK,
    Pictogram,
    block,
    disc,
    fill,
    hand,
    line,
    placed,
    ring,
)
from travelers.kit.refusals import gettext_noop

K = BLACK

Y = "#f9b800"


def _teeth(x: float, y: float, r: float, count: int, lean: float) -> str:
    """A saw blade: every tooth rises along the rim and drops steeply."""
    points = []
    for i in range(count):
        a = 2 * pi * i / count
        b = a + 2 * pi / count * lean
        points.append(f"{num(x + r * cos(a))} {num(y + r * sin(a))}")
        points.append(f"{num(x + (r + 4) * cos(b))} {num(y + (r + 4) * sin(b))}")
    return "M" + "L".join(points) + "z"


def _star(x: float, y: float, far: float, near: float, count: int) -> str:
    points = []
    for i in range(2 * count):
        r = near if i % 2 else far
        a = pi * i / count - pi / 2
        points.append(f"{num(x + r * cos(a))} {num(y + r * sin(a))}")
    return "M" + "L".join(points) + "z"


_FLAME = (
    "M51 34C54 44 65 50 64 62C63 70 57 74 50 74C43 74 37 70 36 62C35.5 56 39 52 41 47"
    "C43 50 43 53 45 54C49 49 47 41 51 34z"
)

WARNING: Mapping[str, Pictogram] = {
    "W001": Pictogram(
        gettext_noop("General warning sign"),
        fill("M44.6 34H55.4L52.8 63H47.2z", K) + disc(50, 72, 4.8, K),
    ),
    "W011": Pictogram(
        gettext_noop("Slippery surface"),
        disc(42, 42, 4.6, K)
        + line("M43 49L48 62L62 59L68 66", K, 5)
        + line("M48 62L57 71L51 76", K, 5)
        + line("M44 51L56 50M44 51L35 58", K, 4)
        + line("M28 80H44M56 80H74", K, 3.4),
    ),
    "W012": Pictogram(
        gettext_noop("Electricity"),
        fill("M57 30L41 57H50L45 71L40 69L44 82L56 74L51 72L60 52H50L59 31z", K),
    ),
    "W016": Pictogram(
        gettext_noop("Toxic material"),
        fill(
            "M50 36C41 36 36 42 36 49C36 53 38 55 41 57V62H59V57C62 55 64 53 64 49"
            "C64 42 59 36 50 36z",
            K,
        )
        + disc(44.5, 49, 3.8, Y)
        + disc(55.5, 49, 3.8, Y)
        + fill("M50 53L52 57H48z", Y)
        + line("M33 67L67 80M67 67L33 80", K, 4.6)
        + "".join(
            disc(x, y, 3.2, K)
            for x, y in [
                (32, 65),
                (30, 69),
                (68, 65),
                (70, 69),
                (32, 82),
                (30, 78),
                (68, 82),
                (70, 78),
            ]
        ),
    ),
    "W017": Pictogram(
        gettext_noop("Hot surface"),
        block(27, 74, 46, 6, K)
        + "".join(
            line(f"M{x} 69C{x - 8} 61 {x + 8} 55 {x} 46", K, 4.2) for x in (37, 50, 63)
        ),
    ),
    "W018": Pictogram(
        gettext_noop("Automatic start-up"),
        fill(_star(50, 64, 15.5, 11.5, 9), K)
        + disc(50, 64, 5, Y)
        + line("M33 54A21 21 0 0 1 60 43.5", K, 4)
        + fill("M57 36L68 46L55 50z", K),
    ),
    "W019": Pictogram(
        gettext_noop("Crushing"),
        block(27, 52, 6, 30, K)
        + block(67, 52, 6, 30, K)
        + disc(50, 44, 5, K)
        + fill("M44 51H56V65H54V82H46V65H44z", K)
        + fill("M35 64H38V60.5L43 66L38 71.5V68H35z", K)
        + fill("M65 64H62V60.5L57 66L62 71.5V68H65z", K),
    ),
    "W021": Pictogram(
        gettext_noop("Flammable material"), fill(_FLAME, K) + block(33, 77, 34, 4.6, K)
    ),
    "W022": Pictogram(
        gettext_noop("Sharp element"),
        fill("M27 81H73L49 64z", K)
        + line("M57 38L51 54", K, 9.6)
        + line("M44 52L51 55.5", Y, 2.4)
        + fill(
            "M62 55C64 59 67 61 67 64.4A4.6 4.6 0 0 1 57.6 64.4C57.6 61 60.4 59 62 55z",
            K,
        ),
    ),
    "W024": Pictogram(
        gettext_noop("Crushing of hands"),
        block(28, 76, 44, 6, K)
        + block(36, 52, 28, 6, K)
        + fill("M47 33H53V41H58L50 50L42 41H47z", K)
        + placed(hand(K), 60, 67, 0.44, -82),
    ),
    "W025": Pictogram(
        gettext_noop("Counterrotating rollers"),
        ring(36, 70, 9, K, 5)
        + ring(64, 70, 9, K, 5)
        + disc(36, 70, 2.6, K)
        + disc(64, 70, 2.6, K)
        + placed(hand(K), 50, 47, 0.46, 180)
        + line("M27.5 57.5A15 15 0 0 1 39 55", K, 2.6)
        + fill("M38 51L44.5 57L37 59.5z", K)
        + line("M72.5 57.5A15 15 0 0 0 61 55", K, 2.6)
        + fill("M62 51L55.5 57L63 59.5z", K),
    ),
    "W035": Pictogram(
        gettext_noop("Falling objects"),
        placed(block(-5, -5, 10, 10, K), 47, 38, 1, 24)
        + placed(block(-5, -5, 10, 10, K), 60, 51, 1, -18)
        + placed(block(-4, -4, 8, 8, K), 43, 54, 1, 50)
        + disc(50, 69, 5.4, K)
        + fill("M36 82C37 76 43 75.5 50 75.5S63 76 64 82z", K),
    ),
    "W038": Pictogram(
        gettext_noop("Sudden loud noise"),
        fill("M29 57H38L50 46V80L38 69H29z", K)
        + line("M56 55A11 11 0 0 1 56 71", K, 3.6)
        + line("M62 49A20 20 0 0 1 62 77", K, 3.6)
        + fill(_star(51, 39, 7, 3, 6), K),
    ),
    "W071": Pictogram(
        gettext_noop("Substance or mixture presenting a health hazard"),
        disc(50, 42, 7.4, K)
        + fill("M31 81C31 62 37 52 45 51H55C63 52 69 62 69 81z", K)
        + fill(_star(50, 67, 10.5, 4, 6), Y),
    ),
    "W088": Pictogram(
        gettext_noop("Moving blades"),
        fill(_teeth(50, 65, 13.5, 11, 0.25), K)
        + disc(50, 65, 3.6, Y)
        + line("M29.5 62A21 21 0 0 1 57 44.5", K, 3.6)
        + fill("M55 37.5L66 47L53.5 51z", K),
    ),
}
