"""Do days come true as often as was said, and which must be said so that they do?"""

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from travelers.formulas.lasting import survival

GRID = (0.01, *(n / 20 for n in range(1, 20)), 0.975, 0.99)
"""The shares of futures whose moments are kept of a forecast."""

_HALF = GRID.index(0.5)
_NORMAL = tuple(NormalDist().inv_cdf(share) for share in GRID)


@dataclass(frozen=True, slots=True)
class Correction:
    """Which share of futures must be asked for, by how often days came true.

    Attributes
    ----------
    places : tuple of float
        Shares of futures, and beyond 1 what came after all of them; in order.
    shares : tuple of float
        Which share of all came by each place.
    """

    places: tuple[float, ...] = (0.0, 1.0)
    shares: tuple[float, ...] = (0.0, 1.0)

    def place_for(self, share: float) -> float:
        """Give the place by which such a share came.

        The last place known, where fewer have come than the share.
        """
        return _between(share, self.shares, self.places)

    def share_at(self, place: float) -> float:
        """Give the share that came by a place."""
        return _between(place, self.places, self.shares)


AS_SAID = Correction()


@dataclass(frozen=True, slots=True)
class Doubt:
    """By how much all days may be wrong together, of which no future knows.

    Attributes
    ----------
    later : float
        How many times as long as the futures say it takes, in the middle; above 0.
    spread : float
        How broad the doubt about that is: the standard deviation of its logarithm,
        from 0.
    """

    later: float = 1.0
    spread: float = 0.0

    def doubted_s(self, quantiles_s: Sequence[float]) -> tuple[float, ...]:
        """Give the quantiles of a forecast with the doubt in them.

        Parameters
        ----------
        quantiles_s : sequence of float
            By when the shares of `GRID` of its futures came, in seconds.

        Returns
        -------
        tuple of float
            The same with the doubt, in seconds.

        Notes
        -----
        A factor that is common to all of a forecast beside the luck of each future:
        on the scale of logarithms the squares of both breadths add up, to each side of
        the middle. Exact where both are lognormal.

        Examples
        --------
        >>> known = [100.0] * len(GRID)
        >>> doubted = Doubt(1.05, 0.125).doubted_s(known)
        >>> round(doubted[GRID.index(0.5)]), round(doubted[GRID.index(0.8)])
        (105, 117)
        """
        if not self.spread:
            return tuple(self.later * one for one in quantiles_s)
        middle = max(quantiles_s[_HALF], 1.0)
        return tuple(
            self.later * middle * math.exp(self._off(max(one, 1.0) / middle, normal))
            for one, normal in zip(quantiles_s, _NORMAL, strict=True)
        )

    def _off(self, times: float, normal: float) -> float:
        broad = math.hypot(math.log(times), normal * self.spread)
        return math.copysign(broad, normal) if normal else 0.0


NO_DOUBT = Doubt()


def of_100(pct: float) -> int:
    """Give odds as a whole number, never more than they are.

    What holds in 79.6 of 100 cases does not hold in 80.
    """
    return math.floor(pct + 1e-9)


def place_of(moment_s: float, quantiles_s: Sequence[float]) -> float:
    """Say where in a forecast a moment lies: which share of its futures came by then.

    Parameters
    ----------
    moment_s : float
        Seconds since the forecast was made, 0 or more.
    quantiles_s : sequence of float
        By when the shares of `GRID` of its futures came, in seconds.

    Returns
    -------
    float
        From 0. After the last of them it goes on in a straight line, so that a moment
        as far behind the last as the last is behind the middle has one more.

    Notes
    -----
    The probability integral transform. Of forecasts that are right, places are spread
    evenly from 0 to 1.

    References
    ----------
    A. P. Dawid (1984), "Statistical theory: the prequential approach"; T. Gneiting,
    F. Balabdaoui, A. E. Raftery (2007), "Probabilistic forecasts, calibration and
    sharpness" (from memory).

    Examples
    --------
    >>> place_of(50, [100 * share for share in GRID])
    0.5
    """
    last = quantiles_s[-1]
    if moment_s > last:
        return GRID[-1] + (moment_s - last) / _beyond_s(quantiles_s)
    return _between(moment_s, (0.0, *quantiles_s), (0.0, *GRID))


def moment_at(place: float, quantiles_s: Sequence[float]) -> float:
    """Give the moment at a place of a forecast: the other way round.

    Parameters
    ----------
    place : float
        As `place_of` gives it.
    quantiles_s : sequence of float
        As there.

    Returns
    -------
    float
        Seconds since the forecast was made.

    Examples
    --------
    >>> moment_at(0.5, [100 * share for share in GRID])
    50.0
    """
    if place > GRID[-1]:
        return quantiles_s[-1] + (place - GRID[-1]) * _beyond_s(quantiles_s)
    return _between(place, (0.0, *GRID), (0.0, *quantiles_s))


def learned(ended: Sequence[float], still: Sequence[float]) -> Correction:
    """Learn from what came of forecasts which share of futures must be asked for.

    Parameters
    ----------
    ended : sequence of float
        The places of what came; at least one.
    still : sequence of float
        Of what has not come yet, the places of now in its forecasts: there or later it
        will come.

    Returns
    -------
    Correction

    Raises
    ------
    ValueError
        If nothing has come.

    Notes
    -----
    How often a place was reached is the product-limit estimate of
    `travelers.formulas.lasting`: those that came alone would be the early ones. If a
    forecast's odds are as wrong as those before it were, its days corrected by this
    come true as often as is said.

    References
    ----------
    V. Kuleshov, N. Fenner, S. Ermon (2018), "Accurate uncertainties for deep learning
    using calibrated regression", with that estimate in place of plain shares (from
    memory).

    Examples
    --------
    Of four, one came by the middle of its futures: days of 25 of 100 lie there.

    >>> learned([0.5, 0.75, 1, 1.5], []).place_for(0.25)
    0.5
    """
    if not ended:
        raise ValueError("ended must hold at least one, got none")
    curve = survival(ended, still)
    places = [0.0, *(place for place, _ in curve)]
    shares = [0.0, *(1 - left for _, left in curve)]
    longest = max([*ended, *still])
    if longest > places[-1]:
        places.append(longest)
        shares.append(shares[-1])
    return Correction(tuple(places), tuple(shares))


def _beyond_s(quantiles_s: Sequence[float]) -> float:
    """Say how long one place is behind the last: an hour at least."""
    return max(quantiles_s[-1] - quantiles_s[_HALF], 3600.0)


def _between(value: float, of: Sequence[float], to: Sequence[float]) -> float:
    """Go from one scale to another, in a straight line between two known points.

    Where the first stands still, the first point counts; outside, the end.
    """
    place = bisect_left(of, value)
    if place == 0:
        return to[0]
    if place == len(of):
        return to[-1]
    low, high = of[place - 1], of[place]
    return to[place - 1] + (to[place] - to[place - 1]) * (value - low) / (high - low)
