"""How many come through without a defect, at one step and through all of them?"""

import math
from collections.abc import Sequence


def first_pass_yield(passed_first_time: int, entered: int) -> float:
    """Say which share passed a step at the first time, without rework.

    Parameters
    ----------
    passed_first_time : int
        How many passed without rework or scrap, from 0 to those that entered.
    entered : int
        How many entered the step, from 1.

    Returns
    -------
    float
        From 0 to 1.

    Raises
    ------
    ValueError
        If a number is out of its range.

    References
    ----------
    First-pass yield as defined in handbooks of quality, from memory.

    Examples
    --------
    >>> first_pass_yield(57, 60)
    0.95
    """
    if not entered >= 1:
        raise ValueError(f"entered must be at least 1, got {entered!r}")
    if not 0 <= passed_first_time <= entered:
        raise ValueError(
            f"passed_first_time must lie from 0 to {entered}, got {passed_first_time!r}"
        )
    return passed_first_time / entered


def rolled_yield(yields: Sequence[float]) -> float:
    """Say which share comes through all steps without a defect in any.

    Parameters
    ----------
    yields : sequence of float
        The first-pass yield of each step, from 0 to 1.

    Returns
    -------
    float
        Their product, from 0 to 1; 1 for a way without steps.

    Raises
    ------
    ValueError
        If a yield is not from 0 to 1.

    Notes
    -----
    The product is the share that comes through if the steps fail independently.

    References
    ----------
    Rolled throughput yield as defined in handbooks of quality, from memory.

    Examples
    --------
    >>> round(rolled_yield([0.95, 0.90, 0.97]), 5)
    0.82935
    """
    for one in yields:
        if not 0 <= one <= 1:
            raise ValueError(f"yields must lie from 0 to 1, got {one!r}")
    return math.prod(yields, start=1.0)
