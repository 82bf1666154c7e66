"""How long has something been open, beside what was open before it?"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence


def older_than_share(age: float, history: Sequence[float]) -> float:
    """Say which share of those finished before were finished younger than this.

    Parameters
    ----------
    age : float
        How long it has been open, in any unit; 0 or more.
    history : sequence of float
        How long others took, in the same unit; at least one, each 0 or more.

    Returns
    -------
    float
        From 0 to 1; those that took just as long count half.

    Raises
    ------
    ValueError
        If a number is out of its range, or there is no history.

    References
    ----------
    The percentile rank by the mean of the strict and the weak count, common practice,
    no source.

    Examples
    --------
    >>> older_than_share(30, [10, 20, 30, 40])
    0.625
    """
    if not history:
        raise ValueError("history must hold at least one, got none")
    for name, value in (("age", age), *(("history", one) for one in history)):
        if not (value >= 0 and math.isfinite(value)):
            raise ValueError(f"{name} must be finite and 0 or more, got {value!r}")
    ordered = sorted(history)
    counts = bisect_left(ordered, age) + bisect_right(ordered, age)
    return counts / (2 * len(ordered))
