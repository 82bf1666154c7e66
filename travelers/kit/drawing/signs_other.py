"""How are the signs drawn that forbid (P), lead to safety (E) or to fire gear (F)?"""

from collections.abc import Mapping

from travelers.kit.drawing.strokes import (
    BLACK,
    WHITE,
    Pictogram,
    block,
    disc,
    fill,
    hand,
    line,
    placed,
)
from travelers.kit.refusals import gettext_noop

K = BLACK
W = WHITE

RED = "#b0261e"
SAFE_GREEN = "#1f7a4d"

PROHIBITION: Mapping[str, Pictogram] = {
    "P001": Pictogram(gettext_noop("General prohibition sign"), ""),
    "P002": Pictogram(
        gettext_noop("No smoking"),
        block(18, 56, 44, 10, K)
        + block(64, 56, 4, 10, K)
        + block(70, 56, 12, 10, K)
        + line("M76 50C70 44 82 40 75 33M67 50C61 44 71 40 64 33", K, 3.4),
    ),
    "P003": Pictogram(
        gettext_noop(
            "No open flame; Fire, open ignition source and smoking prohibited"
        ),
        placed(block(-3.4, 0, 6.8, 36, K), 55, 48, 1, 26)
        + fill(
            "M63 14C66 24 75 28 72 39C70 47 62 50 56 47"
            "C50 44 49 36 53 30C55 33 56 34 57 34C61 29 59 20 63 14z",
            K,
        ),
    ),
    "P015": Pictogram(
        gettext_noop("No reaching in"),
        block(58, 14, 8, 28, K)
        + block(58, 60, 8, 26, K)
        + placed(hand(K), 50, 51, 0.86, 90)
        + block(14, 44, 22, 15, K, 3),
    ),
    "P028": Pictogram(
        gettext_noop("Do not wear gloves"),
        placed(hand(K) + fill("M-8 30H10L12 40H-10z", K), 50, 45, 1.15),
    ),
}

SAFE: Mapping[str, Pictogram] = {
    "E001": Pictogram(
        gettext_noop("Emergency exit (left hand)"),
        fill("M12 14H44V86H12zM18 20V80H38V20z", W)
        + disc(60, 25, 6.6, W)
        + line("M63 36L69 56L81 62M67 53L55 63L58 81", W, 7)
        + line("M65 39L78 46M63 38L51 46L45 42", W, 5.4),
    ),
    "E003": Pictogram(
        gettext_noop("First aid"), fill("M39 17H61V39H83V61H61V83H39V61H17V39H39z", W)
    ),
    "E011": Pictogram(
        gettext_noop("Eyewash station"),
        fill("M14 38C28 20 72 20 86 38C72 56 28 56 14 38z", W)
        + disc(50, 38, 11.5, SAFE_GREEN)
        + disc(50, 38, 5.4, W)
        + line("M26 86C28 74 33 67 40 62M50 86V62M74 86C72 74 67 67 60 62", W, 5),
    ),
}

FIRE: Mapping[str, Pictogram] = {
    "F001": Pictogram(
        gettext_noop("Fire extinguisher"),
        block(22, 36, 26, 50, W, 7)
        + block(30, 26, 10, 9, W)
        + line("M28 23H46M40 23C52 22 55 30 54 44", W, 4.6)
        + fill(
            "M71 40C74 52 85 58 82 72C80 81 72 86 66 85"
            "C58 84 54 77 56 69C57 64 60 61 61 57C63 60 64 62 65 62C70 56 68 48 71 40z",
            W,
        ),
    ),
}
