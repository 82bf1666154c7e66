"""On which days will sets be dry, when each rate has its weight?"""

from collections.abc import Sequence
from typing import Any

from travelers.formulas.drying.grid import Weighed

# How far each node is moved from its rate, in steps of rates, in no order of the nodes.
STREWN = (0.0, -3 / 7, 2 / 7, -2 / 7, 3 / 7, -1 / 7, 1 / 7)


def days_until(
    weighed: Weighed,
    places: Sequence[int],
    ends_pct: Sequence[float],
    limits_pct: Sequence[float],
) -> Any:
    """Say when sets come below their limits: days, sets by rates by nodes.

    What never comes below has days too, without a meaning.
    """
    import numpy as np

    ends = np.asarray(ends_pct, dtype=float)[:, None, None]
    left = np.maximum(np.asarray(limits_pct)[:, None, None] - ends, 1e-6)
    days = weighed.initials[places] - ends
    days /= left
    np.maximum(days, 1.0, out=days)
    np.log(days, out=days)
    days /= weighed.rates[places][:, :, None]
    return days


def shares_of(confidence: float) -> tuple[float, float, float]:
    """Give the shares that lie below an interval's ends and its middle."""
    tail = (1 - confidence) / 2
    return tail, 0.5, 1 - tail


def quantiles(
    days: Any, weights: Any, shares: tuple[float, ...]
) -> list[tuple[float, ...]]:
    """Give for each set the days below which shares of all weight lie.

    ``days`` is sets by rates by nodes; ``weights`` sets by rates, the nodes of a rate
    weighing alike. Between two days it is interpolated.
    """
    import numpy as np

    nodes = days.shape[2]
    days = _strewn(days).reshape(len(days), -1)
    order = np.argsort(days, axis=1)
    days = np.take_along_axis(days, order, axis=1)
    each = np.take_along_axis(weights / nodes, order // nodes, axis=1)
    below = np.cumsum(each, axis=1)
    below -= each / 2
    return [
        tuple(float(one) for one in np.interp(shares, own, when))
        for own, when in zip(below, days, strict=True)
    ]


def _strewn(days: Any) -> Any:
    """Move each node some way to the next rate, so that the steps of rates are gone.

    Where the first moisture is well known, the nodes of a rate would else fall on one
    day, and the days of the rates between be missing.
    """
    import numpy as np

    steps, found = np.diff(days, axis=1), days.copy()
    for node, way in enumerate(STREWN):
        if way > 0:
            found[:, :-1, node] += way * steps[:, :, node]
        else:
            found[:, 1:, node] += way * steps[:, :, node]
    return found
