"""Can the work hold its tolerance, in the short run and over all?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from travelers.formulas.control.charts import as_row
from travelers.formulas.control.factors import constants
from travelers.formulas.control.indices import (
    Indices,
    Interval,
    cp_interval,
    cpk_interval,
    indices,
    must_be_tolerance,
)
from travelers.formulas.control.normality import (
    FEWEST_FOR_NORMALITY,
    Normality,
    normality,
)


@dataclass(frozen=True, slots=True)
class Intervals:
    """Where the indices lie with ``confidence``; Cp and Pp need both limits."""

    cp: Interval | None
    cpk: Interval
    pp: Interval | None
    ppk: Interval
    confidence: float


@dataclass(frozen=True, slots=True)
class Capability:
    """The indices of values, with all that they rest on.

    ``within`` counts by ``sigma_within``, the spread from one value to the next or in a
    group; ``overall`` by ``sigma_overall``, that of all values. ``degrees_within`` says
    how well the first is known. ``normality`` is None for fewer than eight values;
    where it is doubtful, so are indices, intervals and shares.
    """

    count: int
    mean: float
    sigma_within: float
    sigma_overall: float
    degrees_within: float
    within: Indices
    overall: Indices
    intervals: Intervals
    normality: Normality | None

    @property
    def cp(self) -> float | None:
        """Compare the tolerance's width with the spread in the short run."""
        return self.within.cp

    @property
    def cpk(self) -> float:
        """Compare the way to the nearer limit with the spread in the short run."""
        return self.within.cpk

    @property
    def pp(self) -> float | None:
        """Compare the tolerance's width with the spread of all values."""
        return self.overall.cp

    @property
    def ppk(self) -> float:
        """Compare the way to the nearer limit with the spread of all values."""
        return self.overall.cpk

    @property
    def cpm(self) -> float | None:
        """Compare the tolerance's width with the spread of all about the target."""
        return self.overall.cpm

    @property
    def share_outside(self) -> float:
        """Say what share a normal process with all this spread makes outside."""
        return self.overall.share_outside


def capability(
    values: Sequence[float] | Sequence[Sequence[float]],
    lower: float | None,
    upper: float | None,
    confidence: float = 0.95,
    *,
    target: float | None = None,
) -> Capability:
    """Say whether work in statistical control holds its tolerance.

    Parameters
    ----------
    values : sequence of float, or of groups of float
        Single values in the order in which they were made, two at least; or groups of
        two at least, which may differ in size.
    lower, upper : float or None
        The tolerance's limits; one of them may be missing.
    confidence : float
        Of the intervals, between 0 and 1.
    target : float, optional
        The value that is wished for; it makes Cpm.

    Returns
    -------
    Capability

    Raises
    ------
    ValueError
        If there are too few values, they do not vary, a number is not finite or out of
        its range, or the limits are missing or not in their order.

    Notes
    -----
    The spread in the short run is that of the mean moving range for single values, and
    the pooled deviation for groups. A moving range knows it less well than so many
    values would tell: its degrees of freedom (about 0.62 for each value) are those of
    the variance of the mean of ranges that overlap.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.1.6; the intervals as in :func:`cp_interval` and
    :func:`cpk_interval`.

    Examples
    --------
    >>> depths = [9.98, 10.03, 10.01, 9.97, 10.02, 10.00, 9.99, 10.04, 10.01, 9.96]
    >>> found = capability(depths, 9.9, 10.1)
    >>> round(found.cpk, 2), round(found.ppk, 2), round(found.normality.p_value, 2)
    (1.05, 1.27, 0.95)
    >>> one_sided = capability(depths, 9.9, None)
    >>> one_sided.cp is None, round(one_sided.ppk, 2)
    (True, 1.29)
    """
    must_be_tolerance(lower, upper, target)
    row, within, degrees = _spread_within(values)
    if row.min() == row.max():
        raise ValueError(f"values must not all be equal, got {float(row[0])!r}")
    if not within > 0:
        raise ValueError("values must vary within their groups, got groups that do not")
    count, mean, sigma = len(row), float(row.mean()), float(row.std(ddof=1))
    short = indices(mean, within, lower, upper, target)
    whole = indices(mean, sigma, lower, upper, target)
    return Capability(
        count=count,
        mean=mean,
        sigma_within=within,
        sigma_overall=sigma,
        degrees_within=degrees,
        within=short,
        overall=whole,
        intervals=Intervals(
            cp=_about(short.cp, degrees, confidence),
            cpk=cpk_interval(short.cpk, count, degrees, confidence),
            pp=_about(whole.cp, count - 1, confidence),
            ppk=cpk_interval(whole.cpk, count, count - 1, confidence),
            confidence=confidence,
        ),
        normality=normality(row) if count >= FEWEST_FOR_NORMALITY else None,
    )


def moving_range_degrees(count: int) -> float:
    """Say how many degrees of freedom the mean moving range of values has.

    Parameters
    ----------
    count : int
        Values, from 2.

    Returns
    -------
    float
        Those of the deviation whose relative variance is the same.

    Raises
    ------
    ValueError
        If there are fewer than two values.

    References
    ----------
    The absolute values of two normal variables with correlation ρ have the mean product
    (2/π)(√(1-ρ²) + ρ asin ρ) (Nabeya, 1951, from memory); neighbouring differences have
    ρ = -1/2. The variance of a deviation is 1/(2ν) + 1/(8ν²) of its square.

    Examples
    --------
    >>> round(moving_range_degrees(2), 1), round(moving_range_degrees(50), 1)
    (1.1, 30.1)
    """
    if not count >= 2:
        raise ValueError(f"count must be at least 2, got {count!r}")
    ranges, two = count - 1, constants(2)
    together = 4 / math.pi * (math.sqrt(0.75) + math.pi / 12 - 1)
    variance = (ranges * two.d3**2 + 2 * (ranges - 1) * together) / ranges**2
    relative = variance / two.d2**2
    return (1 + math.sqrt(1 + 2 * relative)) / (4 * relative)


def _spread_within(values: Any) -> tuple[Any, float, float]:
    """Give all values in a row, their spread in the short run, and its degrees."""
    import numpy as np

    if any(np.ndim(one) for one in values):
        groups = [
            as_row(f"values[{place}]", group, 2) for place, group in enumerate(values)
        ]
        squares = sum(float(((one - one.mean()) ** 2).sum()) for one in groups)
        degrees = sum(len(one) - 1 for one in groups)
        return np.concatenate(groups), math.sqrt(squares / degrees), degrees
    row = as_row("values", values, 2)
    within = float(np.abs(np.diff(row)).mean()) / constants(2).d2
    return row, within, moving_range_degrees(len(row))


def _about(cp: float | None, degrees: float, confidence: float) -> Interval | None:
    return None if cp is None else cp_interval(cp, degrees, confidence)
