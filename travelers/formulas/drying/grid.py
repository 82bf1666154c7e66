"""Which rates of drying do readings leave possible, and how much does each weigh?

A set's readings follow M(t) = E + (M0 - E) exp(-k t), with noise. For a given rate k
the rest is a straight line, so the rate alone is looked for. A wide look finds where
the rates lie that the readings leave possible, and a fine grid is laid over these only:
what is then said of the day is a mean over them, each by its weight. So few readings
give a wide interval and many a narrow one, and the fits of hundreds of sets are one
computation.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

from travelers.formulas.drying.rates import RatePrior

# Rates from a tenth of a percent a day to all in a day: no wood is outside.
SLOWEST, FASTEST, FIRST_LOOK = 0.001, 1.0, 16
# A rate is left out when it is less likely than the best by e to the power of this.
LEFT_OUT, SECOND_LOOK, STEPS = 12.0, 16, 48
# How far a pin meter's readings lie from the line when nothing else is known, and how
# many readings that is worth (common practice, no source).
USUAL_NOISE_PCT, WORTH = 0.3, 4
# So many points stand for what is not known of the first moisture.
NODES = 7
# The parabolas' shares of the first step, after which the best rate is known to its
# fifth digit.
REFINED = (1.0, 0.4, 0.12, 0.02, 0.004)


# Days and readings of one set.
Readings = tuple[Sequence[float], Sequence[float]]


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """Arrays over the sets, with each rate's weight.

    ``rates`` and ``weights`` are sets by rates, each set with rates of its own;
    ``initials`` is sets by rates by nodes: first moistures, one as likely as another.
    """

    rates: Any
    weights: Any
    initials: Any
    mean_log: Any
    spread_log: Any


@dataclass(frozen=True, slots=True, eq=False)
class Best:
    """The most likely line of each set: arrays over the sets."""

    log_rate: Any
    initial_pct: Any
    noise_pct: Any


@dataclass(frozen=True, slots=True, eq=False)
class Sets:
    """Readings as arrays, readings by sets; days are counted from each set's first."""

    days: Any
    over: Any
    there: Any
    ends: Any
    count: Any
    centre: Any
    width: Any
    noise_pct: float | None

    def can_be(self, wettest_pct: float) -> bool:
        """Say whether days rise and moistures are from 0 to the wettest."""
        import numpy as np

        there = self.there > 0
        rise = (np.diff(self.days, axis=0) > 0) | ~there[1:]
        moistures = self.over + self.ends
        inside = (moistures >= -1e-9) & (moistures <= wettest_pct + 1e-9) | ~there
        return bool(
            rise.all()
            and inside.all()
            and np.isfinite(self.days).all()
            and (self.ends >= 0).all()
            and (self.ends <= wettest_pct).all()
        )

    def line(self, logs: Any) -> tuple[Any, Any, Any]:
        """Fit the line for rates, sets by rates: start, sum of squares, rest."""
        import numpy as np

        gone = self.days[:, :, None] * -np.exp(logs)
        np.exp(gone, out=gone)
        gone *= self.there[:, :, None]
        over = self.over[:, :, None]
        square = np.einsum("nsr,nsr->sr", gone, gone)
        start = np.einsum("nsr,ns->sr", gone, self.over) / square
        # Summed from what is left of each: a difference of sums would lose its digits.
        gone *= start
        gone -= over
        return start, square, np.einsum("nsr,nsr->sr", gone, gone)

    def unlikely(self, logs: Any, rest: Any) -> Any:
        """Say how unlikely rates are: minus the logarithm, but for a constant."""
        import numpy as np

        off = ((logs - self.centre[:, None]) / self.width[:, None]) ** 2 / 2
        if self.noise_pct is not None:
            return off + rest / (2 * self.noise_pct**2)
        freedom = (WORTH + self.count - 1)[:, None]
        return off + freedom / 2 * np.log(WORTH * USUAL_NOISE_PCT**2 + rest)


def best_of(sets: Sets) -> Best:
    """Find each set's most likely line: a look at a few rates, then parabolas."""
    import numpy as np

    logs, unlikely = _look(sets, *_all_rates(sets), FIRST_LOOK)
    best = _refined(sets, logs, unlikely)
    start, _, rest = sets.line(best[:, None])
    noise = np.sqrt(_variance(sets, rest)[:, 0])
    return Best(best, sets.ends + start[:, 0], noise)


def weigh(sets: Sets) -> Weighed:
    """Weigh the rates that each set's readings leave possible, in ever closer looks."""
    import numpy as np

    low, high = _all_rates(sets)
    for points in (FIRST_LOOK, SECOND_LOOK):
        low, high = _possible(*_look(sets, low, high, points))
    logs = _between(low, high, STEPS)
    start, square, rest = sets.line(logs)
    weights = _shares(sets.unlikely(logs, rest) + np.log(square) / 2)
    mean = (weights * logs).sum(axis=1)
    spread = np.sqrt((weights * (logs - mean[:, None]) ** 2).sum(axis=1))
    initials = _initials(sets, start, square, rest)
    return Weighed(np.exp(logs), weights, initials, mean, spread)


def as_arrays(
    readings: Sequence[Readings],
    equilibriums_pct: Sequence[float],
    noise_pct: float | None,
    priors: Sequence[RatePrior | None],
) -> Sets:
    """Lay readings out as arrays; the arguments are those of ``fit_many``."""
    import numpy as np

    count = np.fromiter((len(days) for days, _ in readings), dtype=int)
    ends = np.asarray(equilibriums_pct, dtype=float)
    is_there = np.arange(count.max()) < count[:, None]
    days, over = np.zeros(is_there.shape), np.zeros(is_there.shape)
    days[is_there] = np.fromiter(chain.from_iterable(d for d, _ in readings), float)
    over[is_there] = np.fromiter(chain.from_iterable(v for _, v in readings), float)
    there = is_there.astype(float)
    days = (days - days[:, :1]) * there
    over = (over - ends[:, None]) * there
    return Sets(
        np.ascontiguousarray(days.T),
        np.ascontiguousarray(over.T),
        np.ascontiguousarray(there.T),
        ends,
        count,
        np.array([one.mean_log if one else 0.0 for one in priors]),
        # Without a prior all rates of the grid are as likely.
        np.array([one.spread_log if one else math.inf for one in priors]),
        noise_pct,
    )


def _all_rates(sets: Sets) -> tuple[Any, Any]:
    import numpy as np

    ends = (math.log(SLOWEST), math.log(FASTEST))
    low, high = (np.full(len(sets.count), one) for one in ends)
    return low, high


def _between(low: Any, high: Any, points: int) -> Any:
    """Lay so many points evenly between each set's bounds: sets by points."""
    import numpy as np

    return low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, points)


def _look(sets: Sets, low: Any, high: Any, points: int) -> tuple[Any, Any]:
    """Say how unlikely the rates between bounds are; and which these are."""
    import numpy as np

    logs = _between(low, high, points)
    _, square, rest = sets.line(logs)
    return logs, sets.unlikely(logs, rest) + np.log(square) / 2


def _possible(logs: Any, unlikely: Any) -> tuple[Any, Any]:
    """Give the bounds between which a rate is not left out, a point more each way."""
    import numpy as np

    last = logs.shape[1] - 1
    kept = unlikely - unlikely.min(axis=1, keepdims=True) < LEFT_OUT
    first = np.maximum(kept.argmax(axis=1) - 1, 0)
    final = np.minimum(last - kept[:, ::-1].argmax(axis=1) + 1, last)
    rows = np.arange(len(logs))
    return logs[rows, first], logs[rows, final]


def _shares(unlikely: Any) -> Any:
    import numpy as np

    weights = np.exp(unlikely.min(axis=1, keepdims=True) - unlikely)
    return weights / weights.sum(axis=1, keepdims=True)


def _variance(sets: Sets, rest: Any) -> Any:
    """Say what is thought of the noise, squared, for each rate."""
    import numpy as np

    if sets.noise_pct is not None:
        return np.full_like(rest, sets.noise_pct**2)
    freedom = (WORTH + sets.count - 1)[:, None]
    return (WORTH * USUAL_NOISE_PCT**2 + rest) / freedom


def _initials(sets: Sets, start: Any, square: Any, rest: Any) -> Any:
    """Give first moistures for each rate, as Student's distribution has them."""
    import numpy as np
    from scipy.special import ndtri, stdtrit

    shares = (np.arange(NODES) + 0.5) / NODES
    if sets.noise_pct is not None:
        nodes = np.broadcast_to(ndtri(shares), (len(sets.count), NODES))
    else:
        freedom = (WORTH + sets.count - 1)[:, None]
        nodes = stdtrit(freedom, shares[None, :])
    spread = np.sqrt(_variance(sets, rest) / square)
    return (sets.ends[:, None] + start)[:, :, None] + spread[:, :, None] * nodes[
        :, None, :
    ]


def _refined(sets: Sets, logs: Any, unlikely: Any) -> Any:
    """Find each set's best rate between those looked at, by ever smaller parabolas."""
    import numpy as np

    rows = np.arange(len(logs))
    best = logs[rows, unlikely.argmin(axis=1)]
    first, last = logs[:, 0], logs[:, -1]
    for share in REFINED:
        step = share * float(logs[0, 1] - logs[0, 0])
        three = best[:, None] + np.array([-step, 0.0, step])
        before, here, after = sets.unlikely(three, sets.line(three)[2]).T
        bend = before - 2 * here + after
        with np.errstate(divide="ignore", invalid="ignore"):
            vertex = step * (before - after) / (2 * bend)
        downhill = step * np.sign(before - after)
        move = np.where(bend > 0, np.clip(vertex, -step, step), downhill)
        best = np.clip(best + move, first, last)
    return best
