"""How many times greater are the odds of a defect inside a group than outside?"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from travelers.formulas.association.exact import counted, ratios

_STEPS = 100
_NEAR = 1e-12


@dataclass(frozen=True, slots=True)
class OddsRatio:
    """An odds ratio, and the interval that holds it with the confidence asked for."""

    estimate: float
    low: float
    high: float


def odds_ratio(
    a: Sequence[int],
    b: Sequence[int],
    c: Sequence[int],
    d: Sequence[int],
    *,
    confidence: float = 0.95,
) -> list[OddsRatio]:
    """Estimate the odds ratio of many two by two tables, with exact intervals.

    Parameters
    ----------
    a, b, c, d : sequence of int, one for each table
        As for :func:`fisher_exact`.
    confidence : float
        Between 0 and 1: at least this share of such intervals hold the odds ratio.

    Returns
    -------
    list of OddsRatio
        The estimate is 0 or infinite where no other would make the table likelier; the
        interval's other end is finite then. A table with an empty row or column tells
        nothing: its estimate is not a number, its interval goes from 0 to infinity.

    Raises
    ------
    ValueError
        As :func:`fisher_exact`, and if the confidence is out of its range.

    Notes
    -----
    Conditional maximum likelihood, and the conditional exact interval: with all margins
    as they are the count inside follows Fisher's noncentral hypergeometric
    distribution, and each end of the interval is the odds ratio by which what was seen
    or more extreme has half of the probability left. Of the methods that bear empty
    cells this one agrees with the exact test (the low end is above 1 just where the
    one-sided p is below half of what is left), and keeps its confidence for groups of
    four, which the interval of Woolf with a half added to each cell only nears.

    Each end is found by Newton's steps, kept between bounds that close in.

    References
    ----------
    Cornfield (1956), A Statistical Problem Arising from Retrospective Studies, Third
    Berkeley Symposium 4:135-148; Woolf (1955), Annals of Human Genetics 19:251-253;
    both from memory.

    Examples
    --------
    >>> found = odds_ratio([12, 5], [188, 0], [3, 3], [197, 20])
    >>> [round(one, 2) for one in (found[0].estimate, found[0].low, found[0].high)]
    [4.18, 1.1, 23.43]
    >>> found[1].estimate, round(found[1].low, 2), found[1].high
    (inf, 3.58, inf)
    """
    import numpy as np

    if not 0 < confidence < 1:
        raise ValueError(f"confidence must be between 0 and 1, got {confidence!r}")
    tables = counted(a, b, c, d)
    if not len(tables):
        return []
    different, place = np.unique(tables, axis=0, return_inverse=True)
    found = _told(_weighed(different, left=(1 - confidence) / 2), confidence)
    return [found[one] for one in place.ravel().tolist()]


def common_odds(shares: Any, seen: Any, confidence: float) -> list[OddsRatio]:
    """Estimate the odds ratio that several strata have in common, with its interval.

    Parameters
    ----------
    shares : array of float, suspects by counts
        How likely each count of cases inside is by chance, as
        :func:`chances_within` tells it, from the lowest count on.
    seen : array of int
        Which of these counts was seen, from 0.
    confidence : float
        As for :func:`odds_ratio`.

    Returns
    -------
    list of OddsRatio
        As :func:`odds_ratio`, which tells the same of one stratum.

    Notes
    -----
    Where the odds ratio is the same in all strata, the sum of the counts inside has
    chances that are tilted as those of one stratum are. Counts that no float can hold
    the chance of, below 1e-300, are left out.

    References
    ----------
    Gart (1970), Biometrika 57:471-475, from memory.

    Examples
    --------
    >>> import numpy as np
    >>> tea = np.array([[1, 16, 36, 16, 1]]) / 70
    >>> round(common_odds(tea, np.array([3]), 0.95)[0].estimate, 3)
    6.408
    """
    import numpy as np

    with np.errstate(divide="ignore"):
        weights = np.log(shares)
    numbers = np.tile(np.arange(shares.shape[1]), (len(shares), 1))
    steep = np.where(np.isfinite(weights), np.abs(weights), 0).max(axis=1, initial=0.0)
    bound = steep - math.log((1 - confidence) / 2) + 2
    return _told((weights, np.asarray(seen), numbers, bound), confidence)


_Weighed = tuple[Any, Any, Any, Any]


def _told(weighed: _Weighed, confidence: float) -> list[OddsRatio]:
    import numpy as np

    left = (1 - confidence) / 2
    weights, seen, numbers, bound = weighed
    with np.errstate(divide="ignore"):
        highs = 1 / _least((weights, -seen, -numbers, bound), left)
    return [
        OddsRatio(float(estimate), float(low), float(high))
        for estimate, low, high in zip(
            _likeliest(weighed), _least(weighed, left), highs, strict=True
        )
    ]


def _least(weighed: _Weighed, left: float) -> Any:
    """Find the odds ratio by which so many or more would have the probability left."""
    import numpy as np

    weights, seen, numbers, bound = weighed
    inside = (numbers >= seen[:, None]) | ~np.isfinite(weights)
    found = np.zeros(len(seen))
    open_ = np.flatnonzero(~inside.all(axis=1))
    weights, inside, numbers = weights[open_], inside[open_], numbers[open_]

    def gap(log_odds: Any) -> tuple[Any, Any]:
        shares = _tilted(weights, numbers, log_odds)
        within = np.where(inside, shares, 0.0)
        tail = np.maximum(within.sum(axis=1), 1e-300)
        mean = (shares * numbers).sum(axis=1)
        return np.log(tail / left), (within * numbers).sum(axis=1) / tail - mean

    found[open_] = np.exp(_root(gap, bound[open_]))
    return found


def _likeliest(weighed: _Weighed) -> Any:
    """Find the odds ratio that makes each table likeliest."""
    import numpy as np

    weights, seen, numbers, bound = weighed
    possible = np.isfinite(weights)
    lowest = seen == np.where(possible, numbers, np.inf).min(axis=1)
    highest = seen == np.where(possible, numbers, -np.inf).max(axis=1)
    found = np.where(lowest, np.where(highest, np.nan, 0.0), np.inf)
    open_ = np.flatnonzero(~lowest & ~highest)
    weights, numbers, seen = weights[open_], numbers[open_], seen[open_]

    def gap(log_odds: Any) -> tuple[Any, Any]:
        shares = _tilted(weights, numbers, log_odds)
        mean = (shares * numbers).sum(axis=1)
        spread = (shares * (numbers - mean[:, None]) ** 2).sum(axis=1)
        return mean - seen, spread

    found[open_] = np.exp(_root(gap, bound[open_]))
    return found


def _weighed(tables: Any, left: float) -> _Weighed:
    """Give logarithms of weights, counts seen, counts possible, and a bound of roots.

    No ratio of neighbouring weights is above n² or below 1/n², which bounds the roots.
    """
    import numpy as np

    a, b, c, d = tables.T
    total = a + b + c + d
    lowest, ratio = ratios(total, a + c, a + b)
    with np.errstate(divide="ignore"):
        risen = np.log(ratio).cumsum(axis=1)
    weights = np.concatenate([np.zeros((len(total), 1)), risen], axis=1)
    numbers = lowest[:, None] + np.arange(weights.shape[1])
    bound = 2 * np.log(total + 2.0) - math.log(left) + 2
    return weights, a, numbers, bound


def _tilted(weights: Any, numbers: Any, log_odds: Any) -> Any:
    import numpy as np

    logs = weights + log_odds[:, None] * numbers
    shares = np.exp(logs - logs.max(axis=1, keepdims=True))
    return shares / shares.sum(axis=1, keepdims=True)


def _root(gap: Callable[[Any], tuple[Any, Any]], bound: Any) -> Any:
    """Find where rising functions are 0 between plus and minus their bounds."""
    import numpy as np

    low, high, at = -bound, bound.copy(), np.zeros(len(bound))
    for _ in range(_STEPS):
        value, slope = gap(at)
        low, high = np.where(value < 0, at, low), np.where(value < 0, high, at)
        with np.errstate(divide="ignore", invalid="ignore"):
            after = at - value / slope
        astray = ~((after >= low) & (after <= high))
        after = np.where(astray, (low + high) / 2, after)
        moved, at = np.abs(after - at).max(initial=0.0), after
        if moved < _NEAR:
            break
    return at
