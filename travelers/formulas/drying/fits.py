"""Which drying do the readings of a set tell of, and when will it be dry?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import ge
from typing import NoReturn

from travelers.formulas.drying.grid import (
    Readings,
    Sets,
    Weighed,
    as_arrays,
    best_of,
    weigh,
)
from travelers.formulas.drying.quantiles import days_until, quantiles, shares_of
from travelers.formulas.drying.rates import RatePrior

WETTEST_PCT = 200.0


@dataclass(frozen=True, slots=True)
class DayRange:
    """A day, and the interval that holds it with ``confidence``."""

    day: float
    earliest: float
    latest: float
    confidence: float


class Batch:
    """Sets fitted at once; their rates are weighed when a day is asked for."""

    def __init__(self, sets: Sets) -> None:
        self._sets = sets

    @cached_property
    def weighed(self) -> Weighed:
        """Weigh all rates of all these sets; needs no more than their readings."""
        return weigh(self._sets)


@dataclass(frozen=True, slots=True, eq=False)
class DryingFit:
    """What the readings of one set say of its drying; days count as they were given."""

    initial_pct: float
    rate_per_day: float
    equilibrium_pct: float
    noise_pct: float
    readings: int
    first_day: float
    batch: Batch
    place: int

    @property
    def mean_log_rate(self) -> float:
        """Say the mean of the rate's logarithm over all rates by their weights."""
        return float(self.batch.weighed.mean_log[self.place])

    @property
    def spread_log_rate(self) -> float:
        """Say how well the rate's logarithm is known: its standard deviation."""
        return float(self.batch.weighed.spread_log[self.place])

    def moisture_pct(self, day: float) -> float:
        """Say the moisture on a day, by the rate that fits best."""
        gone = math.exp(-self.rate_per_day * (day - self.first_day))
        return self.equilibrium_pct + (self.initial_pct - self.equilibrium_pct) * gone

    def day_below(self, limit_pct: float, confidence: float = 0.8) -> DayRange | None:
        """Say on which day the moisture comes below a limit, and how sure that is.

        Parameters
        ----------
        limit_pct : float
            Moisture in percent of oven-dry mass, above 0.
        confidence : float
            Between 0 and 1: the share of such intervals that hold the day.

        Returns
        -------
        DayRange or None
            None where the air's equilibrium is not below the limit: never here. A set
            that was below from the first gets its first day.

        Raises
        ------
        ValueError
            If a number is out of its range.
        """
        if not 0 < confidence < 1:
            raise ValueError(f"confidence must be between 0 and 1, got {confidence!r}")
        if not (limit_pct > 0 and math.isfinite(limit_pct)):
            raise ValueError(f"limit_pct must be above 0, got {limit_pct!r}")
        if self.equilibrium_pct >= limit_pct:
            return None
        weighed = self.batch.weighed
        days = days_until(weighed, [self.place], [self.equilibrium_pct], [limit_pct])
        weights = weighed.weights[[self.place]]
        ((low, middle, high),) = quantiles(days, weights, shares_of(confidence))
        first = self.first_day
        return DayRange(first + middle, first + low, first + high, confidence)


def fit(
    days: Sequence[float],
    moisture_pct: Sequence[float],
    equilibrium_pct: float,
    *,
    noise_pct: float | None = None,
    prior: RatePrior | None = None,
) -> DryingFit:
    """Fit the first-order approach to the readings of one set.

    Parameters
    ----------
    days : sequence of float
        When was read, in days from any day; rising.
    moisture_pct : sequence of float
        What was read, in percent of oven-dry mass, from 0 to 200.
    equilibrium_pct : float
        The equilibrium moisture of the room's air, in percent.
    noise_pct : float, optional
        Standard deviation of a reading, where it is known of the gauge.
    prior : RatePrior, optional
        How fast other sets of this species and thickness dried.

    Returns
    -------
    DryingFit
        ``initial_pct`` and ``rate_per_day`` are those of the greatest weight; without a
        prior and within the grid, those of least squares.

    Raises
    ------
    ValueError
        If there is no reading, the days do not rise, or a number is out of its range.

    Notes
    -----
    Bayes' rule with a flat prior for the first moisture, a flat or given normal prior
    for the logarithm of the rate, and for the noise an inverse gamma prior worth four
    readings of 0.3 %. The interval is that of the posterior's quantiles.

    References
    ----------
    First-order approach as in Simpson and Tschernitz (1979); separable least squares
    as in Golub and Pereyra (1973), SIAM Journal on Numerical Analysis 10:413-432, from
    memory.

    Examples
    --------
    >>> found = fit([0, 7, 14, 21, 28], [12.0, 10.1, 8.7, 7.7, 7.0], 5.0)
    >>> round(found.rate_per_day, 3), found.day_below(4.5, 0.8) is None
    (0.045, True)
    """
    return fit_many(
        [(days, moisture_pct)], [equilibrium_pct], noise_pct=noise_pct, priors=[prior]
    )[0]


def fit_many(
    readings: Sequence[Readings],
    equilibriums_pct: Sequence[float],
    *,
    noise_pct: float | None = None,
    priors: Sequence[RatePrior | None] | None = None,
) -> list[DryingFit]:
    """Fit many sets at once; the same as :func:`fit` of each.

    Parameters
    ----------
    readings : sequence of (days, moisture_pct)
        For each set as for :func:`fit`.
    equilibriums_pct : sequence of float, one for each set
        As for :func:`fit`.
    noise_pct : float, optional
        As for :func:`fit`.
    priors : sequence of RatePrior or None, one for each set, optional
        As for :func:`fit`.

    Returns
    -------
    list of DryingFit

    Raises
    ------
    ValueError
        As :func:`fit`, naming the set by its place.

    References
    ----------
    As for :func:`fit`.

    Examples
    --------
    >>> two = fit_many([([0, 9], [12, 9]), ([0, 9], [14, 9])], [5, 5])
    >>> two[0].rate_per_day < two[1].rate_per_day
    True
    """
    _must_match(readings, equilibriums_pct, noise_pct)
    if not readings:
        return []
    sets = as_arrays(
        readings, equilibriums_pct, noise_pct, priors or [None] * len(readings)
    )
    if not sets.can_be(WETTEST_PCT):
        _say_which(readings, equilibriums_pct)
    best, batch = best_of(sets), Batch(sets)
    return [
        DryingFit(
            initial_pct=initial,
            rate_per_day=math.exp(log_rate),
            equilibrium_pct=float(equilibriums_pct[n]),
            noise_pct=noise,
            readings=len(days),
            first_day=float(days[0]),
            batch=batch,
            place=n,
        )
        for n, ((days, _), initial, log_rate, noise) in enumerate(
            zip(
                readings,
                best.initial_pct.tolist(),
                best.log_rate.tolist(),
                best.noise_pct.tolist(),
                strict=True,
            )
        )
    ]


def _must_match(
    readings: Sequence[Readings],
    equilibriums_pct: Sequence[float],
    noise_pct: float | None,
) -> None:
    if len(readings) != len(equilibriums_pct):
        raise ValueError(
            f"equilibriums_pct must be one for each set, got {len(equilibriums_pct)} "
            f"for {len(readings)}"
        )
    if noise_pct is not None and not (noise_pct > 0 and math.isfinite(noise_pct)):
        raise ValueError(f"noise_pct must be above 0, got {noise_pct!r}")
    for place, (days, values) in enumerate(readings):
        if not days or len(days) != len(values):
            raise ValueError(
                f"moisture_pct of set {place} must be one for each of its days, and "
                f"there must be one at least, got {len(values)} for {len(days)}"
            )


def _say_which(
    readings: Sequence[Readings], equilibriums_pct: Sequence[float]
) -> NoReturn:
    """Name the first set with a number that cannot be."""
    for place, ((days, values), end) in enumerate(
        zip(readings, equilibriums_pct, strict=True)
    ):
        if any(map(ge, days, days[1:])) or not math.isfinite(sum(days)):
            raise ValueError(f"days of set {place} must rise, got {list(days)!r}")
        if not all(0 <= one <= WETTEST_PCT for one in values):
            raise ValueError(
                f"moisture_pct of set {place} must lie from 0 to {WETTEST_PCT:g}, "
                f"got {list(values)!r}"
            )
        if not 0 <= end <= WETTEST_PCT:
            raise ValueError(
                f"equilibrium_pct of set {place} must lie from 0 to "
                f"{WETTEST_PCT:g}, got {end!r}"
            )
    raise AssertionError("a number that cannot be was found, and then not")
