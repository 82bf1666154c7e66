"""What is cut, from what, and where does each piece lie?"""

import math
from dataclasses import dataclass, field
from enum import StrEnum

# Sizes are counted in whole micrometres, so that a sum of sizes is exact.
UNITS_A_MM = 1_000


class First(StrEnum):
    """What the saw does first: cut across the grain, or rip along it."""

    CROSSCUT = "CROSSCUT"
    RIP = "RIP"


@dataclass(frozen=True, slots=True)
class Plank:
    """A plank with its grain along the length.

    The trims are what is lost at each edge and at each end, their own cut with them.
    """

    length_mm: float
    width_mm: float
    thickness_mm: float
    edge_trim_mm: float = 0.0
    end_trim_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no size."""
        for name in ("length_mm", "width_mm", "thickness_mm"):
            above_zero(name, getattr(self, name))
        for name in ("edge_trim_mm", "end_trim_mm"):
            not_below_zero(name, getattr(self, name))

    @property
    def room_mm(self) -> tuple[float, float]:
        """Say the length and width that are left between the trims."""
        length, width = self.room
        return length / UNITS_A_MM, width / UNITS_A_MM

    @property
    def room(self) -> tuple[int, int]:
        """Say the same in whole micrometres."""
        return (
            max(0, units(self.length_mm) - 2 * units(self.end_trim_mm)),
            max(0, units(self.width_mm) - 2 * units(self.edge_trim_mm)),
        )


@dataclass(frozen=True, slots=True)
class Part:
    """Sets of so many like pieces, their length along the grain.

    ``wanted`` sets are cut at most; None takes as many as the plank gives once those
    that are counted have been given their place.
    """

    name: str
    pieces: int
    length_mm: float
    width_mm: float
    thickness_mm: float
    wanted: int | None = None

    def __post_init__(self) -> None:
        """Refuse what is no size or no number of pieces."""
        for name in ("length_mm", "width_mm", "thickness_mm"):
            above_zero(name, getattr(self, name))
        if self.pieces < 1:
            raise ValueError(f"pieces must be 1 or more, got {self.pieces!r}")
        if self.wanted is not None and self.wanted < 0:
            raise ValueError(f"wanted must be 0 or more, got {self.wanted!r}")

    @property
    def area_mm2(self) -> float:
        """Say the face in square millimetres."""
        return self.length_mm * self.width_mm


@dataclass(frozen=True, slots=True)
class Place:
    """Where a piece lies: the plank's near left corner is 0, x runs along the grain."""

    part: int
    set: int
    piece: int
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class Section:
    """What one first cut parts from the plank, and the pieces in it."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    places: tuple[Place, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class Offcut:
    """A rest that can be kept."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float

    @property
    def area_mm2(self) -> float:
        """Say the face in square millimetres."""
        return self.length_mm * self.width_mm


def units(size_mm: float) -> int:
    """Count a size in whole micrometres."""
    return round(float(size_mm) * UNITS_A_MM)


def above_zero(name: str, value: float) -> None:
    """Refuse a number that is not above 0, at least a micrometre, and finite."""
    if not (math.isfinite(value) and units(value) > 0):
        raise ValueError(f"{name} must be above 0 and finite, got {value!r}")


def not_below_zero(name: str, value: float) -> None:
    """Refuse a number that is below 0 or not finite."""
    if not (math.isfinite(value) and value >= 0):
        raise ValueError(f"{name} must be 0 or more and finite, got {value!r}")
