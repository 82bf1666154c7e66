"""How wide does a text run in the shop's typeface, and where does it break?"""

# Advance widths of U+0020 to U+007E in thousandths of the size, read from the
# shipped fonts (Atkinson Hyperlegible Next 2.001).  Any other letter counts as
# wide as an "n", which is near enough to choose a line break.
_REGULAR = (
    280, 286, 301, 651, 592, 919, 731, 160, 299, 299, 485, 606, 210, 362, 210, 387,
    648, 407, 548, 576, 614, 588, 598, 510, 615, 595, 210, 210, 553, 628, 553, 480,
    778, 626, 613, 645, 669, 569, 552, 694, 694, 392, 512, 631, 541, 824, 693, 714,
    592, 724, 614, 592, 558, 690, 593, 856, 623, 575, 607, 317, 387, 344, 552, 372,
    243, 525, 566, 485, 564, 538, 314, 558, 550, 252, 245, 492, 262, 845, 550, 548,
    566, 574, 349, 471, 326, 540, 461, 684, 481, 449, 460, 344, 237, 344, 555,
)  # fmt: skip
_BOLD = (
    312, 303, 390, 765, 610, 969, 725, 210, 335, 335, 485, 595, 271, 373, 272, 440,
    659, 440, 579, 600, 624, 607, 626, 537, 624, 571, 272, 272, 569, 612, 569, 547,
    781, 678, 643, 658, 688, 597, 566, 718, 701, 424, 561, 663, 552, 858, 717, 746,
    629, 756, 650, 610, 607, 686, 644, 886, 685, 650, 618, 340, 440, 344, 582, 400,
    288, 552, 596, 510, 596, 563, 365, 593, 571, 300, 259, 555, 318, 882, 571, 576,
    596, 599, 376, 508, 376, 567, 530, 740, 539, 521, 505, 381, 254, 381, 537,
)  # fmt: skip
_OTHER = 560


def width(said: str, size: float, *, bold: bool = False) -> float:
    table = _BOLD if bold else _REGULAR
    units = sum(table[ord(c) - 32] if 32 <= ord(c) < 127 else _OTHER for c in said)
    return units * size / 1000


def wrap(said: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """Break at spaces into lines that fit; a word wider than the room stays whole."""
    lines: list[str] = []
    for word in said.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, size, bold=bold) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines or [""]


def clip(said: str, size: float, room: float, *, bold: bool = False) -> str:
    """Cut a text that does not fit and mark the cut with an ellipsis."""
    if width(said, size, bold=bold) <= room:
        return said
    kept = said
    while kept and width(kept + "…", size, bold=bold) > room:
        kept = kept[:-1]
    return kept.rstrip() + "…"
