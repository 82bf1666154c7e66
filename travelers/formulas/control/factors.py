"""By which factors do ranges and deviations of small groups tell the spread?"""

import math
from dataclasses import dataclass
from functools import cache

SMALLEST_GROUP = 2
LARGEST_GROUP = 25

# The range's distribution is integrated over normal values up to so many deviations
# from the mean, and over ranges up to twice that.
_FARTHEST = 9.0


@dataclass(frozen=True, slots=True)
class Constants:
    """The factors for groups of one size, with their names of the trade."""

    A2: float
    A3: float
    B3: float
    B4: float
    c4: float
    d2: float
    d3: float
    D3: float
    D4: float
    E2: float


@cache
def constants(n: int) -> Constants:
    """Give the factors of control charts for groups of ``n`` values.

    Parameters
    ----------
    n : int
        Values in a group, from 2 to 25.

    Returns
    -------
    Constants
        ``d2`` and ``d3`` are mean and standard deviation of the range of ``n`` standard
        normal values; ``c4`` is the mean of their standard deviation; ``A2``, ``A3``,
        ``B3``, ``B4``, ``D3``, ``D4`` and ``E2`` make three-sigma limits of them.

    Raises
    ------
    ValueError
        If ``n`` is not a whole number from 2 to 25.

    References
    ----------
    The range's distribution as in Tippett (1925), Biometrika 17:364-387; definitions of
    the factors as in NIST/SEMATECH e-Handbook 6.3.2.1.

    Examples
    --------
    >>> five = constants(5)
    >>> round(five.d2, 3), round(five.c4, 4), round(five.A2, 3), round(five.D4, 3)
    (2.326, 0.94, 0.577, 2.114)
    """
    if n not in range(SMALLEST_GROUP, LARGEST_GROUP + 1):
        raise ValueError(
            f"n must be a whole number from {SMALLEST_GROUP} to {LARGEST_GROUP}, "
            f"got {n!r}"
        )
    c4 = mean_deviation_factor(n)
    d2, d3 = _range_moments(n)
    of_deviation = 3 * math.sqrt(1 - c4 * c4) / c4
    of_range = 3 * d3 / d2
    return Constants(
        A2=3 / (d2 * math.sqrt(n)),
        A3=3 / (c4 * math.sqrt(n)),
        B3=max(0.0, 1 - of_deviation),
        B4=1 + of_deviation,
        c4=c4,
        d2=d2,
        d3=d3,
        D3=max(0.0, 1 - of_range),
        D4=1 + of_range,
        E2=3 / d2,
    )


def mean_deviation_factor(n: int) -> float:
    """Give c4: the mean of the standard deviation of ``n`` standard normal values.

    Parameters
    ----------
    n : int
        From 2; without an upper end.

    Returns
    -------
    float
        Below 1, and near it for many values.

    Raises
    ------
    ValueError
        If ``n`` is below 2.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.3.2.

    Examples
    --------
    >>> round(mean_deviation_factor(5), 4), round(mean_deviation_factor(1000), 5)
    (0.94, 0.99975)
    """
    if not n >= SMALLEST_GROUP:
        raise ValueError(f"n must be at least {SMALLEST_GROUP}, got {n!r}")
    ratio = math.exp(math.lgamma(n / 2) - math.lgamma((n - 1) / 2))
    return math.sqrt(2 / (n - 1)) * ratio


def _range_moments(n: int) -> tuple[float, float]:
    """Integrate mean and standard deviation of the range of ``n`` normal values."""
    import numpy as np
    from scipy.special import ndtr

    nodes, weights = np.polynomial.legendre.leggauss(160)
    ranges, weights = _FARTHEST * (nodes + 1), _FARTHEST * weights
    least, step = np.linspace(-2 * _FARTHEST, _FARTHEST, 1081, retstep=True)
    density = np.exp(-least * least / 2) / math.sqrt(2 * math.pi)
    within = ndtr(least[:, None] + ranges) - ndtr(least)[:, None]
    below = n * step * (density @ within ** (n - 1))
    mean = weights @ (1 - below)
    square = 2 * weights @ (ranges * (1 - below))
    return float(mean), math.sqrt(square - mean * mean)
