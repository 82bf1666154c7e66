"""Below which value lies a given share of what was seen?"""

from collections.abc import Sequence


def percentile(values: Sequence[float], pct: float) -> float:
    """Say the value that a share of the values does not exceed.

    Parameters
    ----------
    values : sequence of float
        What was seen, in any order and any one unit; at least one.
    pct : float
        The share in percent, from 0 to 100.

    Returns
    -------
    float
        In the unit of the values; between two of them on a straight line.

    Raises
    ------
    ValueError
        If there are no values or the share is out of its range.

    Notes
    -----
    Of n ordered values the k-th from 0 is the percentile 100·k/(n - 1).

    References
    ----------
    R. J. Hyndman and Y. Fan (1996), "Sample Quantiles in Statistical Packages", The
    American Statistician 50(4):361-365, definition 7 (from memory); it is what numpy's
    ``percentile`` does where no other method is asked for.

    Examples
    --------
    >>> percentile([1, 2, 3, 4], 50)
    2.5
    """
    if not values:
        raise ValueError("values must hold at least one, got none")
    if not 0 <= pct <= 100:
        raise ValueError(f"pct must lie from 0 to 100, got {pct!r}")
    ordered = sorted(values)
    place = (len(ordered) - 1) * pct / 100
    below = min(int(place), len(ordered) - 1)
    above = min(below + 1, len(ordered) - 1)
    share = place - below
    return float(ordered[below] + (ordered[above] - ordered[below]) * share)


def share_below_pct(values: Sequence[float], value: float) -> float:
    """Say which share of the values is smaller than a value.

    Parameters
    ----------
    values : sequence of float
        What was seen; at least one.
    value : float
        What is held against it, in the same unit.

    Returns
    -------
    float
        In percent, from 0 to 100.

    Raises
    ------
    ValueError
        If there are no values.

    Examples
    --------
    >>> share_below_pct([10, 20, 30, 40], 30)
    50.0
    """
    if not values:
        raise ValueError("values must hold at least one, got none")
    return 100 * sum(one < value for one in values) / len(values)
