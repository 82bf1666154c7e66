"""Is the work's spread small enough for its tolerance, and how sure is that?"""

import math
from dataclasses import dataclass

from travelers.formulas.control.charts import must_be_finite


@dataclass(frozen=True, slots=True)
class Indices:
    """How a normal process with this mean and deviation lies in its tolerance.

    ``cp`` compares the widths, ``cpl`` and ``cpu`` the distances to either limit and
    ``cpk`` the nearer; ``cpm`` counts the distance from the target too; ``off_center``
    is how far the mean lies from the middle, as a share of the way to a limit. What
    needs a limit or target that is not there is None. ``share_below`` and
    ``share_above`` lie outside.
    """

    cp: float | None
    cpl: float | None
    cpu: float | None
    cpk: float
    cpm: float | None
    off_center: float | None
    share_below: float
    share_above: float

    @property
    def share_outside(self) -> float:
        """Say the share outside either limit."""
        return self.share_below + self.share_above


@dataclass(frozen=True, slots=True)
class Interval:
    """Where an index lies with the confidence asked for."""

    low: float
    high: float


def indices(
    mean: float,
    sigma: float,
    lower: float | None,
    upper: float | None,
    target: float | None = None,
) -> Indices:
    """Give the capability indices of a mean and a standard deviation.

    Parameters
    ----------
    mean, sigma : float
        Of the process; ``sigma`` above 0.
    lower, upper : float or None
        The tolerance's limits; one of them may be missing.
    target : float, optional
        The value that is wished for, where one is meant.

    Returns
    -------
    Indices

    Raises
    ------
    ValueError
        If ``sigma`` is not above 0, both limits are missing or not in their order, or
        a number is not finite.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.1.6.

    Examples
    --------
    >>> found = indices(16, 2, 8, 20, target=14)
    >>> found.cp, round(found.cpk, 4), round(found.cpm, 4)
    (1.0, 0.6667, 0.7071)
    """
    from scipy.special import ndtr

    must_be_finite("mean", mean)
    if not (sigma > 0 and math.isfinite(sigma)):
        raise ValueError(f"sigma must be above 0 and finite, got {sigma!r}")
    must_be_tolerance(lower, upper, target)
    cpl = None if lower is None else (mean - lower) / (3 * sigma)
    cpu = None if upper is None else (upper - mean) / (3 * sigma)
    cp = cpm = off_center = None
    if lower is not None and upper is not None:
        cp = (upper - lower) / (6 * sigma)
        off_center = abs((lower + upper) / 2 - mean) / ((upper - lower) / 2)
        if target is not None:
            cpm = (upper - lower) / (6 * math.hypot(sigma, mean - target))
    return Indices(
        cp=cp,
        cpl=cpl,
        cpu=cpu,
        cpk=min(one for one in (cpl, cpu) if one is not None),
        cpm=cpm,
        off_center=off_center,
        share_below=0.0 if cpl is None else float(ndtr(-3 * cpl)),
        share_above=0.0 if cpu is None else float(ndtr(-3 * cpu)),
    )


def must_be_tolerance(
    lower: float | None, upper: float | None, target: float | None
) -> None:
    """Refuse limits that are missing or not in their order."""
    for name, value in (("lower", lower), ("upper", upper), ("target", target)):
        if value is not None:
            must_be_finite(name, value)
    if lower is None and upper is None:
        raise ValueError("lower or upper must be given, got neither")
    if lower is not None and upper is not None and not lower < upper:
        raise ValueError(f"lower must be below upper, got {lower!r} and {upper!r}")


def cp_interval(cp: float, degrees: float, confidence: float = 0.95) -> Interval:
    """Say where Cp or Pp lies, of values that are normal.

    Parameters
    ----------
    cp : float
        As found, above 0.
    degrees : float
        Degrees of freedom of the standard deviation, above 0: of ``n`` values one
        fewer; of a mean range or moving range fewer than that.
    confidence : float
        Between 0 and 1.

    Returns
    -------
    Interval

    Raises
    ------
    ValueError
        If a number is out of its range.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.1.6: the sample's variance goes by chi-squared.

    Examples
    --------
    >>> found = cp_interval(1.70328, 124)
    >>> round(found.low, 3), round(found.high, 3)
    (1.491, 1.915)
    """
    from scipy.special import gammaincinv

    if not cp > 0:
        raise ValueError(f"cp must be above 0, got {cp!r}")
    _must_be_sure(degrees, confidence)
    tail = (1 - confidence) / 2
    low, high = (
        cp * math.sqrt(2 * float(gammaincinv(degrees / 2, share)) / degrees)
        for share in (tail, 1 - tail)
    )
    return Interval(low, high)


def cpk_interval(
    cpk: float, n: int, degrees: float, confidence: float = 0.95
) -> Interval:
    """Say about where Cpk or Ppk lies, of values that are normal.

    Parameters
    ----------
    cpk : float
        As found; below 0 where the mean lies outside.
    n : int
        Values that the mean was made of, from 2.
    degrees : float
        As for :func:`cp_interval`.
    confidence : float
        Between 0 and 1.

    Returns
    -------
    Interval

    Raises
    ------
    ValueError
        If a number is out of its range.

    References
    ----------
    Bissell (1990), Applied Statistics 39(3):331-340, "How reliable is your capability
    index?": the normal approximation with variance 1/(9n) + Cpk²/(2ν), from memory.

    Examples
    --------
    >>> found = cpk_interval(1.66322, 125, 124)
    >>> round(found.low, 3), round(found.high, 3)
    (1.448, 1.878)
    """
    from scipy.special import ndtri

    must_be_finite("cpk", cpk)
    if not n >= 2:
        raise ValueError(f"n must be at least 2, got {n!r}")
    _must_be_sure(degrees, confidence)
    z = float(ndtri((1 + confidence) / 2))
    half = z * math.sqrt(1 / (9 * n) + cpk * cpk / (2 * degrees))
    return Interval(cpk - half, cpk + half)


def _must_be_sure(degrees: float, confidence: float) -> None:
    if not (degrees > 0 and math.isfinite(degrees)):
        raise ValueError(f"degrees must be above 0 and finite, got {degrees!r}")
    if not 0 < confidence < 1:
        raise ValueError(f"confidence must be between 0 and 1, got {confidence!r}")
