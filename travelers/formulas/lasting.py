"""How long does something last, when some of it has not ended yet?"""

from collections import Counter
from collections.abc import Sequence


def survival(
    ended: Sequence[float], still: Sequence[float]
) -> list[tuple[float, float]]:
    """Say which share lasts longer than each time at which something ended.

    Parameters
    ----------
    ended : sequence of float
        How long those lasted that have ended, in any unit.
    still : sequence of float
        How long those have lasted that have not ended, in the same unit.

    Returns
    -------
    list of pairs
        Each time of an end with the share that lasts longer, in order.

    Notes
    -----
    The product-limit estimate: at each end, of those that lasted so long, so many end.
    What is still going on counts among them until it is no longer known.

    References
    ----------
    E. L. Kaplan and P. Meier (1958), "Nonparametric estimation from incomplete
    observations" (from memory).

    Examples
    --------
    >>> survival([1, 2], [2, 3])
    [(1, 0.75), (2, 0.5)]
    """
    ends = Counter(ended)
    found, share = [], 1.0
    ordered = sorted([*ended, *still])
    left, place = len(ordered), 0
    for time in sorted(ends):
        while ordered[place] < time:
            place += 1
        left = len(ordered) - place
        share *= 1 - ends[time] / left
        found.append((time, share))
    return found


def evenly(
    ended: Sequence[float], still: Sequence[float], count: int
) -> tuple[float, ...]:
    """Give times of equal weight that stand for how long something lasts.

    Parameters
    ----------
    ended, still
        As for :func:`survival`; one has ended at least.
    count : int
        How many times, from 1.

    Returns
    -------
    tuple of float
        In order. Where it is not known how long the longest last, they last as long as
        the longest known.

    Raises
    ------
    ValueError
        If nothing has ended, or the count is below 1.

    Examples
    --------
    >>> evenly([1, 2], [2, 3], 4)
    (1, 2, 3, 3)
    """
    if not ended:
        raise ValueError("ended must hold at least one, got none")
    if not count >= 1:
        raise ValueError(f"count must be at least 1, got {count!r}")
    curve, longest = survival(ended, still), max([*ended, *still])
    found, place = [], 0
    for n in range(count):
        asked = 1 - (2 * n + 1) / (2 * count)
        while place < len(curve) and curve[place][1] > asked + 1e-12:
            place += 1
        found.append(curve[place][0] if place < len(curve) else longest)
    return tuple(found)
