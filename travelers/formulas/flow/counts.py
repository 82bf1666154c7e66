"""How many are in work, and how long does each stay?"""

import math


def in_work(throughput: float, lead_time: float) -> float:
    """Say how many are in work on average, by Little's law.

    Parameters
    ----------
    throughput : float
        How many come, and leave, in a unit of time; 0 or more.
    lead_time : float
        How long one stays on average, in the same unit; 0 or more.

    Returns
    -------
    float
        Their number.

    Raises
    ------
    ValueError
        If a number is negative or not finite.

    Notes
    -----
    Exact for a time that begins and ends empty; else as nearly as what came equals what
    left.

    References
    ----------
    J. D. C. Little (1961), "A Proof for the Queuing Formula L = λW", Operations
    Research 9(3):383-387 (from memory).

    Examples
    --------
    >>> in_work(1.5, 16)
    24.0
    """
    for name, value in (("throughput", throughput), ("lead_time", lead_time)):
        if not (value >= 0 and math.isfinite(value)):
            raise ValueError(f"{name} must be finite and 0 or more, got {value!r}")
    return float(throughput * lead_time)


def lead_time(in_work: float, throughput: float) -> float:
    """Say how long one stays on average, by Little's law turned round.

    Parameters
    ----------
    in_work : float
        How many are in work on average; 0 or more.
    throughput : float
        How many leave in a unit of time; above 0.

    Returns
    -------
    float
        In the unit of time of the throughput.

    Raises
    ------
    ValueError
        If a number is out of its range.

    References
    ----------
    As for :func:`in_work`.

    Examples
    --------
    >>> lead_time(24, 1.5)
    16.0
    """
    if not (in_work >= 0 and math.isfinite(in_work)):
        raise ValueError(f"in_work must be finite and 0 or more, got {in_work!r}")
    if not (throughput > 0 and math.isfinite(throughput)):
        raise ValueError(f"throughput must be finite and above 0, got {throughput!r}")
    return float(in_work / throughput)
