"""Which numbered zones has an outline, where a hand or a card points without aiming?

The places are shares of width and height of the outlines' own drawings, set by eye
so that each number stands on the part; nine, as the digit cards name them.
"""

from collections.abc import Mapping

Zone = tuple[float, float]

# On which drawing the part of a branch is shown.
OUTLINES: Mapping[str, str] = {
    "BODY": "body",
    "NECK": "neck",
    "ELECTRONICS": "electronics",
    "ASSEMBLY": "instrument",
}
ZONES: Mapping[str, tuple[Zone, ...]] = {
    "body": (
        (0.36, 0.27),
        (0.55, 0.33),
        (0.83, 0.24),
        (0.42, 0.50),
        (0.57, 0.50),
        (0.83, 0.50),
        (0.36, 0.74),
        (0.57, 0.70),
        (0.80, 0.76),
    ),
    "neck": (
        (0.08, 0.28),
        (0.28, 0.27),
        (0.46, 0.27),
        (0.64, 0.27),
        (0.84, 0.27),
        (0.08, 0.71),
        (0.35, 0.71),
        (0.60, 0.71),
        (0.88, 0.71),
    ),
    "electronics": (
        (0.19, 0.30),
        (0.19, 0.72),
        (0.33, 0.64),
        (0.56, 0.43),
        (0.54, 0.82),
        (0.85, 0.50),
        (0.30, 0.40),
        (0.67, 0.63),
        (0.45, 0.55),
    ),
    "instrument": (
        (0.05, 0.50),
        (0.20, 0.50),
        (0.35, 0.50),
        (0.50, 0.50),
        (0.58, 0.36),
        (0.58, 0.66),
        (0.72, 0.50),
        (0.88, 0.36),
        (0.88, 0.66),
    ),
}


def zone_of(part: str, x: float, y: float) -> int:
    """Name the zone whose number stands nearest to a place."""
    places = ZONES[part]
    near = min(places, key=lambda zone: (zone[0] - x) ** 2 + (zone[1] - y) ** 2)
    return places.index(near) + 1
