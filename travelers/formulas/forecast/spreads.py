"""How long may something take, and how likely is each?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

_CELLS = 1024


@dataclass(frozen=True, slots=True)
class Spread:
    """What a time may be, in seconds: a shape, times a scale.

    Attributes
    ----------
    scale_s : float
        What the shape is multiplied by.
    cv : float
        For a gamma distribution with mean 1: standard deviation over mean. 0 is fixed.
    values : tuple of float
        For shares of equal weight: a sample as it was seen, or bounds of steps.
    is_even : bool
        Whether times between two neighbours of ``values`` are possible too.
    """

    scale_s: float
    cv: float = 0.0
    values: tuple[float, ...] = ()
    is_even: bool = False

    @property
    def mean_s(self) -> float:
        """The mean, in seconds."""
        if not self.values:
            return self.scale_s
        total = math.fsum(self.values)
        if not self.is_even:
            return self.scale_s * total / len(self.values)
        ends = (self.values[0] + self.values[-1]) / 2
        return self.scale_s * (total - ends) / (len(self.values) - 1)


def fixed(seconds: float) -> Spread:
    """Say that a time is always the same.

    Parameters
    ----------
    seconds : float
        0 or more.

    Returns
    -------
    Spread

    Raises
    ------
    ValueError
        If it is negative or not finite.

    Examples
    --------
    >>> fixed(90).mean_s
    90
    """
    _check("seconds", seconds)
    return Spread(seconds)


def gamma(mean_s: float, cv: float) -> Spread:
    """Say that a time is spread by a gamma distribution.

    Parameters
    ----------
    mean_s : float
        Seconds, 0 or more.
    cv : float
        Standard deviation over mean, from 0 to 3; 1 is exponential.

    Returns
    -------
    Spread

    Raises
    ------
    ValueError
        If a number is out of its range.

    Examples
    --------
    >>> gamma(3600, 0.5).mean_s
    3600
    """
    _check("mean_s", mean_s)
    if not 0 <= cv <= 3:
        raise ValueError(f"cv must be from 0 to 3, got {cv!r}")
    return Spread(mean_s, cv=cv)


def sample(seconds: Sequence[float]) -> Spread:
    """Say that a time is one of those seen, each as likely.

    Parameters
    ----------
    seconds : sequence of float
        At least one, each 0 or more.

    Returns
    -------
    Spread

    Raises
    ------
    ValueError
        If there is none, or one is out of its range.

    Examples
    --------
    >>> sample([60, 120]).mean_s
    90.0
    """
    return Spread(1.0, values=_sorted(seconds, least=1))


def quantiles(seconds: Sequence[float]) -> Spread:
    """Say that a time lies with equal chance between any two neighbours.

    Parameters
    ----------
    seconds : sequence of float
        At least two, each 0 or more: the least, the greatest, and between them what
        equal shares lie below.

    Returns
    -------
    Spread

    Raises
    ------
    ValueError
        If there are fewer, or one is out of its range.

    Examples
    --------
    >>> quantiles([0, 10, 30]).mean_s
    12.5
    """
    return Spread(1.0, values=_sorted(seconds, least=2), is_even=True)


def cells(
    spread: Spread,
) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Cut a shape into cells of equal chance, each from its low to its high end.

    Parameters
    ----------
    spread : Spread

    Returns
    -------
    pair of lists
        The cells, and those that the last cell is cut into again (empty where it is
        not): so the long tail of a gamma distribution is kept to a millionth. No cells
        at all where the time is fixed.
    """
    if spread.values:
        ends = spread.values
        pairs = zip(ends, ends[1:] if spread.is_even else ends, strict=False)
        return list(pairs), []
    return _gamma_cells(spread.cv) if spread.cv else ([], [])


def _gamma_cells(
    cv: float,
) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Cut a gamma distribution of mean 1; the cells are scaled so that it is kept."""
    import numpy as np
    from scipy.special import gammaincinv

    shape = 1 / cv**2
    whole = gammaincinv(shape, np.arange(_CELLS) / _CELLS) / shape
    part = np.arange(_CELLS + 1) / _CELLS
    part[-1] = 1 - 1 / (2 * _CELLS)
    tail = gammaincinv(shape, 1 - (1 - part) / _CELLS) / shape
    middle = (whole[:-1] + whole[1:]).sum() / 2 + (tail[:-1] + tail[1:]).mean() / 2
    whole, tail = (ends * _CELLS / middle for ends in (whole, tail))
    last = (float(whole[-1]), float(tail[-1]))
    inner = list(zip(whole[:-1].tolist(), whole[1:].tolist(), strict=True))
    return [*inner, last], list(zip(tail[:-1].tolist(), tail[1:].tolist(), strict=True))


def _check(name: str, value: float) -> None:
    if not (value >= 0 and math.isfinite(value)):
        raise ValueError(f"{name} must be finite and 0 or more, got {value!r}")


def _sorted(seconds: Sequence[float], least: int) -> tuple[float, ...]:
    if len(seconds) < least:
        raise ValueError(f"seconds must be at least {least}, got {len(seconds)}")
    for one in seconds:
        _check("seconds", one)
    return tuple(sorted(seconds))
