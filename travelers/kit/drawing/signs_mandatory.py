"""How are the signs that command (M) drawn?"""

from collections.abc import Mapping

from travelers.kit.drawing.strokes import (
    BLUE,
    WHITE,
    Pictogram,
    block,
    bust,
    disc,
    fill,
    hand,
    line,
    placed,
    ring,
)
from travelers.kit.refusals import gettext_noop

B = BLUE
W = WHITE


def _glove() -> str:
    return hand(W) + line("M-9 28.5H11", B, 2.6) + fill("M-8 30H10L12 40H-10z", W)


def _boot() -> str:
    return fill(
        "M31 20H54V48C58 53 68 55 76 58C82 60 84 64 84 69H31C27 58 33 44 31 20z", W
    ) + block(29, 72.5, 55, 6, W, 1.5)


MANDATORY: Mapping[str, Pictogram] = {
    "M001": Pictogram(
        gettext_noop("General mandatory action sign"),
        fill("M43 17H57L53.5 62H46.5z", W) + disc(50, 75, 6.6, W),
    ),
    "M002": Pictogram(
        gettext_noop("Refer to instruction manual/booklet"),
        disc(50, 24, 9.5, W)
        + fill("M19 45C30 40 42 42 48.5 48V79C42 73 30 71 19 76z", W)
        + fill("M81 45C70 40 58 42 51.5 48V79C58 73 70 71 81 76z", W)
        + line("M26 52C33 50 38 51 42 54M26 60C33 58 38 59 42 62", B, 2.8)
        + line("M74 52C67 50 62 51 58 54M74 60C67 58 62 59 58 62", B, 2.8),
    ),
    "M003": Pictogram(
        gettext_noop("Wear ear protection"),
        bust(W)
        + line("M28.5 42C28.5 8 71.5 8 71.5 42", B, 10)
        + line("M28.5 42C28.5 8 71.5 8 71.5 42", W, 4.6)
        + block(21, 33, 15.5, 23, B, 6)
        + block(63.5, 33, 15.5, 23, B, 6)
        + block(23.5, 35.5, 10.5, 18, W, 4.5)
        + block(66, 35.5, 10.5, 18, W, 4.5),
    ),
    "M004": Pictogram(
        gettext_noop("Wear eye protection"),
        bust(W)
        + block(31, 32, 38, 14, B, 5)
        + block(35.5, 34.5, 12.4, 9, W, 4)
        + block(52.1, 34.5, 12.4, 9, W, 4),
    ),
    "M006": Pictogram(
        gettext_noop("Disconnect mains plug from electrical outlet"),
        block(17, 30, 22, 40, W, 4)
        + disc(28, 43, 3.4, B)
        + disc(28, 57, 3.4, B)
        + block(50, 39.5, 11, 5, W)
        + block(50, 55.5, 11, 5, W)
        + fill("M60 34H68C75 34 78 41 78 50S75 66 68 66H60z", W)
        + line("M77 50H92", W, 5)
        + fill("M62 17V23H45V29H62V35L72 26z", W),
    ),
    "M008": Pictogram(
        gettext_noop("Wear safety footwear"),
        _boot()
        + line("M69 57.5C66 60 65 64 65 68.5", B, 2.8)
        + line("M32.5 30H53", B, 2.6),
    ),
    "M009": Pictogram(
        gettext_noop("Wear protective gloves"),
        placed(_glove(), 34, 47, 0.92, -8) + placed(_glove(), 66, 47, 0.92, 8),
    ),
    "M010": Pictogram(
        gettext_noop("Wear protective clothing"),
        fill(
            "M40 16H60L72 22L79 52L70 54L65 38V86H53.5L50 60L46.5 86H35V38L30 54"
            "L21 52L28 22z",
            W,
        )
        + line("M44 16.5L50 25L56 16.5M50 25V56", B, 2.6),
    ),
    "M013": Pictogram(
        gettext_noop("Wear a face shield"),
        fill(
            "M50 24A17 19 0 1 1 50 62C47 62 45 59 45 55L41 54L43 45C41 34 44 27 50 24z",
            W,
        )
        + fill("M28 84C29 71 39 67 46 66H62C72 67 80 73 81 84C71 92 38 92 28 84z", W)
        + line("M72 30H36", B, 7)
        + line("M72 30H33C27 40 26 54 31 67", W, 4.6),
    ),
    "M016": Pictogram(
        gettext_noop("Wear a mask"),
        bust(W)
        + fill(
            "M36 45C41 42 46 41 50 41S59 42 64 45V55"
            "C61 62 55 65.5 50 65.5S39 62 36 55z",
            B,
        )
        + fill(
            "M39 47C43 45 47 44 50 44S57 45 61 47V54"
            "C58 60 54 62.5 50 62.5S42 60 39 54z",
            W,
        )
        + line("M41.5 50.5H58.5M41.5 55.5H58.5", B, 2)
        + line("M36 46L32 40M64 46L68 40", B, 2.6),
    ),
    "M017": Pictogram(
        gettext_noop("Wear respiratory protection"),
        bust(W)
        + fill(
            "M38 43C42 39 46 38 50 38S58 39 62 43V56C59 63 55 66 50 66S41 63 38 56z", B
        )
        + disc(33, 58, 11, B)
        + disc(67, 58, 11, B)
        + disc(33, 58, 8, W)
        + disc(67, 58, 8, W)
        + ring(33, 58, 3.6, B, 2.4)
        + ring(67, 58, 3.6, B, 2.4)
        + disc(50, 53, 5.4, W),
    ),
    "M021": Pictogram(
        gettext_noop("Disconnect before carrying out maintenance or repair"),
        disc(26, 66, 6, W)
        + disc(74, 66, 6, W)
        + line("M12 66H26M74 66H88", W, 5)
        + line("M26 66L62 36", W, 6)
        + fill("M67 17A12 12 0 1 0 79 33L71 31L69 24z", W)
        + line("M62 36L67 32", W, 6),
    ),
    "M026": Pictogram(
        gettext_noop("Use protective apron"),
        fill("M38 24H62V42C64 47 69 48 72 49L76 84H24L28 49C31 48 36 47 38 42z", W)
        + line("M39 24C39 12 61 12 61 24", W, 4)
        + line("M40 62H60V73H40z", B, 2.8),
    ),
    "M027": Pictogram(
        gettext_noop("Check guard"),
        disc(43, 57, 17, W)
        + disc(43, 57, 4, B)
        + line("M19 60C17 27 69 27 67 60", W, 6)
        + ring(66, 64, 12.5, B, 10)
        + disc(66, 64, 10, B)
        + ring(66, 64, 11.5, W, 4.6)
        + line("M74.5 72.5L83 81", W, 6.4)
        + line("M61 64L65 68.5L71.5 60", W, 3.6),
    ),
    "M031": Pictogram(
        gettext_noop("Use table saw adjustable guard"),
        block(12, 62, 76, 7, W, 1.5)
        + block(24, 69, 7, 15, W)
        + block(69, 69, 7, 15, W)
        + fill("M33 59A17 17 0 0 1 67 59z", W)
        + line("M26 52C28 28 62 24 74 36L76 52", W, 5.4)
        + disc(50, 55.5, 3, B),
    ),
    "M032": Pictogram(
        gettext_noop("Wear anti-static footwear"),
        placed(_boot(), 6, -2, 0.8)
        + line("M51 62V71", W, 4)
        + line("M34 72H68", W, 4)
        + line("M40 79H62", W, 4)
        + line("M46 86H56", W, 4),
    ),
    "M057": Pictogram(
        gettext_noop("Ensure continuous ventilation"),
        "".join(
            placed(
                fill("M0 -4C-13 -12 -11 -27 0 -28C10 -27 8 -14 0 -4z", W), 50, 42, 1, a
            )
            for a in (0, 120, 240)
        )
        + disc(50, 42, 5.2, W)
        + line("M22 78C31 72 36 84 45 78S59 72 68 78S76 80 79 77", W, 4.6),
    ),
}
