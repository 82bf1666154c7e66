"""When will many sets be dry, and what would one more reading of each tell?"""

import math
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from travelers.formulas.drying.fits import DayRange, DryingFit
from travelers.formulas.drying.quantiles import days_until, quantiles, shares_of

# The logarithm of nought days; a set that is dry already has nothing to narrow.
_LEAST_DAYS = 0.05


def days_below(
    fits: Sequence[DryingFit], limits_pct: Sequence[float], confidence: float = 0.8
) -> list[DayRange | None]:
    """Say for each set what :meth:`DryingFit.day_below` says, all at once.

    Parameters
    ----------
    fits : sequence of DryingFit
        As :func:`fit_many` gave them; those of one call are answered together.
    limits_pct : sequence of float, one for each set
        Moistures in percent of oven-dry mass, above 0.
    confidence : float
        Between 0 and 1: the share of such intervals that hold the day.

    Returns
    -------
    list of DayRange or None

    Raises
    ------
    ValueError
        If there is not one limit for each fit, or a number is out of its range.

    Examples
    --------
    >>> from travelers.formulas.drying import fit_many
    >>> sets = fit_many([([0, 9], [12, 9]), ([0, 9], [14, 9])], [5, 7])
    >>> [one is None for one in days_below(sets, [6, 6])]
    [False, True]
    """
    if not 0 < confidence < 1:
        raise ValueError(f"confidence must be between 0 and 1, got {confidence!r}")
    found: list[DayRange | None] = []
    for some, days, weights in _batches(fits, limits_pct):
        told = quantiles(days, weights, shares_of(confidence))
        for (fit, limit), (low, middle, high) in zip(some, told, strict=True):
            if fit.equilibrium_pct >= limit:
                found.append(None)
                continue
            first = fit.first_day
            found.append(
                DayRange(first + middle, first + low, first + high, confidence)
            )
    return found


def narrowing(
    fits: Sequence[DryingFit],
    limits_pct: Sequence[float],
    days: Sequence[float],
    confidence: float = 0.8,
) -> list[float]:
    """Say by how many days one more reading would narrow each set's interval.

    Parameters
    ----------
    fits, limits_pct, confidence
        As for :func:`days_below`.
    days : sequence of float, one for each set
        When it would be read, as the fit counts days.

    Returns
    -------
    list of float
        Days by which the interval is expected to become shorter, from 0; 0 for a set
        that never comes below its limit.

    Raises
    ------
    ValueError
        As for :func:`days_below`.

    Notes
    -----
    Of the rates and first moistures that the readings leave possible, each says what
    the meter would show on that day and when the wood will be dry. The closer the two
    go together (their correlation r, with the meter's noise), the more the reading
    tells: the interval shrinks to √(1 - r²), as for normal quantities.

    References
    ----------
    Conditional variance of a bivariate normal distribution; the expected value of a
    sample as in Raiffa and Schlaifer (1961), Applied Statistical Decision Theory, from
    memory.

    Examples
    --------
    >>> from travelers.formulas.drying import fit
    >>> young = fit([0.0, 7.0], [12.0, 10.9], 5.0)
    >>> soon, later = narrowing([young, young], [6, 6], [8, 28])
    >>> 0 < soon < later
    True
    """
    import numpy as np

    if len(days) != len(fits):
        raise ValueError(f"days must be one for each set, got {len(days)}")
    ranges = days_below(fits, limits_pct, confidence)
    told: list[float] = []
    for some, dry, weights in _batches(fits, limits_pct):
        start = len(told)
        asked = np.asarray(days[start : start + len(some)], dtype=float)
        after = asked - np.array([fit.first_day for fit, _ in some])
        shown = _shown(some, after)
        noise = np.array([fit.noise_pct for fit, _ in some])
        logs = np.log(np.maximum(dry, _LEAST_DAYS))
        share = _correlation(logs, shown, weights, noise)
        told += [float(1 - math.sqrt(1 - one**2)) for one in share]
    return [
        (one.latest - one.earliest) * share if one else 0.0
        for one, share in zip(ranges, told, strict=True)
    ]


def _batches(fits: Sequence[DryingFit], limits_pct: Sequence[float]) -> Any:
    """Give the sets of each fit together: with their days until dry, and weights."""
    if len(limits_pct) != len(fits):
        raise ValueError(
            f"limits_pct must be one for each set, got {len(limits_pct)} "
            f"for {len(fits)}"
        )
    for limit in limits_pct:
        if not (limit > 0 and math.isfinite(limit)):
            raise ValueError(f"limit_pct must be above 0, got {limit!r}")
    pairs = list(zip(fits, limits_pct, strict=True))
    for _, group in groupby(pairs, key=lambda pair: id(pair[0].batch)):
        some = list(group)
        weighed = some[0][0].batch.weighed
        places = [fit.place for fit, _ in some]
        ends = [fit.equilibrium_pct for fit, _ in some]
        dry = days_until(weighed, places, ends, [limit for _, limit in some])
        yield some, dry, weighed.weights[places]


def _shown(some: Sequence[tuple[DryingFit, float]], after: Any) -> Any:
    """Say what a meter would show after so many days, for each rate and start."""
    import numpy as np

    weighed = some[0][0].batch.weighed
    places = [fit.place for fit, _ in some]
    ends = np.array([fit.equilibrium_pct for fit, _ in some])[:, None, None]
    gone = np.exp(-weighed.rates[places] * after[:, None])[:, :, None]
    return ends + (weighed.initials[places] - ends) * gone


def _correlation(one: Any, other: Any, weights: Any, noise: Any) -> Any:
    """Correlate by weights, with the noise of what is read; from 0 to below 1.

    ``one`` and ``other`` are sets by rates by nodes; ``weights`` is sets by rates.
    """
    import numpy as np

    nodes = one.shape[2]

    def mean(a: Any, b: Any) -> Any:
        return np.einsum("srn,srn,sr->s", a, b, weights) / nodes

    unit = np.broadcast_to(1.0, one.shape)
    a, b = (each - mean(each, unit)[:, None, None] for each in (one, other))
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.abs(mean(a, b)) / np.sqrt(mean(a, a) * (mean(b, b) + noise**2))
    return np.clip(np.nan_to_num(share), 0.0, 0.9999)
