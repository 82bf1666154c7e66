"""What does a control chart show, and which points lie outside its limits?"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from travelers.formulas.control.runs import (
    NELSON,
    ROUNDING,
    Rule,
    Signal,
    run_rules,
)

# Limits from less than two points or groups would be those of one day's luck.
FEWEST_POINTS = 2

# One number for all points, or one for each.
Line = float | tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """The points of a chart with its centre line and limits.

    ``sigma`` is the standard deviation of what is measured, ``point_sigma`` that of a
    point (of a mean, a range, a share), which the run rules count by. ``based_on`` says
    of how many points the limits were made; 0 where they were given. ``spread`` is the
    chart that stands beside this one and shows ranges or deviations.
    """

    center: Line
    lower: Line
    upper: Line
    points: tuple[float, ...]
    sigma: Line
    point_sigma: Line
    based_on: int
    spread: "Chart | None" = None

    @property
    def beyond(self) -> tuple[int, ...]:
        """Say which points lie outside the limits, as places from 0.

        A point on a limit is not outside.
        """
        lines = zip(
            self.points,
            self._each(self.lower),
            self._each(self.upper),
            self._each(self.point_sigma),
            strict=True,
        )
        return tuple(
            place
            for place, (point, lower, upper, sigma) in enumerate(lines)
            if point > upper + ROUNDING * sigma or point < lower - ROUNDING * sigma
        )

    def signals(self, rules: Iterable[Rule | str] = NELSON) -> list[Signal]:
        """Find the patterns that run rules call signals; see :func:`run_rules`.

        Raises
        ------
        ValueError
            As :func:`run_rules`; also where the points do not vary at all.
        """
        return run_rules(self.points, self.center, self.point_sigma, rules)

    def _each(self, line: Line) -> tuple[float, ...]:
        return line if isinstance(line, tuple) else (line,) * len(self.points)


@dataclass(frozen=True, slots=True)
class Known:
    """A centre and a standard deviation that were settled before."""

    center: float
    sigma: float


def known(
    center: float | None, sigma: float | None, base: slice | None
) -> Known | None:
    """Put together what a caller gave; None where it is to be made of the points."""
    if center is None and sigma is None:
        return None
    if center is None or sigma is None:
        raise ValueError(
            "center and sigma must be given together, "
            f"got center {center!r} and sigma {sigma!r}"
        )
    if base is not None:
        raise ValueError(f"base must be left out where center is given, got {base!r}")
    must_be_finite("center", center)
    if not (sigma > 0 and math.isfinite(sigma)):
        raise ValueError(f"sigma must be above 0 and finite, got {sigma!r}")
    return Known(float(center), float(sigma))


def must_be_finite(name: str, value: float) -> None:
    """Refuse what is no number."""
    if not math.isfinite(value):
        raise ValueError(f"{name} must be finite, got {value!r}")


def as_row(name: str, values: Sequence[float], least: int = 1) -> Any:
    """Make an array of values; refuse too few and what is no number."""
    import numpy as np

    row = np.asarray(values, dtype=float)
    if row.ndim != 1:
        raise ValueError(f"{name} must be one row of numbers, got {row.ndim} deep")
    if len(row) < least:
        raise ValueError(f"{name} must hold at least {least}, got {len(row)}")
    bad = row[~np.isfinite(row)]
    if bad.size:
        raise ValueError(f"{name} must be finite, got {float(bad[0])!r}")
    return row


def based(base: slice | None, count: int) -> slice:
    """Say which points the limits are made of; refuse too few."""
    if base is None:
        chosen = slice(0, count)
    else:
        start, stop, step = base.indices(count)
        if step != 1:
            raise ValueError(f"base must take every point of it, got step {step}")
        chosen = slice(start, max(start, stop))
    held = chosen.stop - chosen.start
    if held < FEWEST_POINTS:
        raise ValueError(
            f"base must hold at least {FEWEST_POINTS} of the points, got {held}"
        )
    return chosen


def line(values: Any) -> Line:
    """Give one number where all are equal, else one for each point."""
    told = tuple(values.tolist())
    return told[0] if len(set(told)) == 1 else told
