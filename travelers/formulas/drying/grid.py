"""Which rates of drying do readings leave possible, and how much does each weigh?

A set's readings follow M(t) = E + (M0 - E) exp(-k t), with noise. For a given rate k
the rest is a straight line, so the rate alone is looked for, on a grid that is wide
enough for any wood: what is then said of the day is a mean over all rates that the
readings leave possible, each by its weight. So few readings give a wide interval and
many a narrow one, and the fits of hundreds of sets are one computation.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

from travelers.formulas.drying.rates import RatePrior

# Rates from a tenth of a percent a day to all in a day: no wood is outside.
SLOWEST, FASTEST, STEPS, FIRST_LOOK = 0.001, 1.0, 140, 16
# How far a pin meter's readings lie from the line when nothing else is known, and how
# many readings that is worth (common practice, no source).
USUAL_NOISE_PCT, WORTH = 0.3, 4
# So many points stand for what is not known of the first moisture.
NODES = 7
# After so many ever shorter steps the best rate is known to its fifth digit.
REFINED = 7

# Days and readings of one set.
Readings = tuple[Sequence[float], Sequence[float]]


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """Arrays over the sets, with each rate's weight.

    ``rates`` is of the grid; ``weights`` is sets by rates; ``initials`` is sets by
    rates by nodes: first moistures, each as likely as the other.
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
    """Readings as arrays, sets by readings; days are counted from each set's first."""

    days: Any
    over: Any
    there: Any
    ends: Any
    count: Any
    centre: Any
    width: Any
    noise_pct: float | None

    def line(self, logs: Any) -> tuple[Any, Any, Any]:
        """Fit the line for rates, sets by rates: start, sum of squares, rest."""
        import numpy as np

        gone = np.exp(-np.exp(logs)[:, :, None] * self.days[:, None, :])
        gone *= self.there[:, None, :]
        square = (gone**2).sum(axis=2)
        cross = (gone * self.over[:, None, :]).sum(axis=2)
        start = cross / square
        # Summed from what is left of each: a difference of sums would lose its digits.
        left = self.over[:, None, :] - start[:, :, None] * gone
        return start, square, (left**2).sum(axis=2)

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

    logs = np.linspace(math.log(SLOWEST), math.log(FASTEST), FIRST_LOOK)
    grid = np.broadcast_to(logs, (len(sets.count), FIRST_LOOK))
    best = _refined(sets, logs, sets.unlikely(grid, sets.line(grid)[2]))
    start, _, rest = sets.line(best[:, None])
    noise = np.sqrt(_variance(sets, rest)[:, 0])
    return Best(best, sets.ends + start[:, 0], noise)


def weigh(sets: Sets) -> Weighed:
    """Weigh all rates for each set."""
    import numpy as np

    logs = np.linspace(math.log(SLOWEST), math.log(FASTEST), STEPS)
    grid = np.broadcast_to(logs, (len(sets.count), STEPS))
    start, square, rest = sets.line(grid)
    weights = _shares(sets.unlikely(grid, rest) + np.log(square) / 2)
    mean = weights @ logs
    spread = np.sqrt(np.maximum(weights @ logs**2 - mean**2, 0.0))
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
        days,
        over,
        there,
        ends,
        count,
        np.array([one.mean_log if one else 0.0 for one in priors]),
        # Without a prior all rates of the grid are as likely.
        np.array([one.spread_log if one else math.inf for one in priors]),
        noise_pct,
    )


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

    best = logs[unlikely.argmin(axis=1)]
    step = float(logs[1] - logs[0])
    for _ in range(REFINED):
        three = best[:, None] + np.array([-step, 0.0, step])
        before, here, after = sets.unlikely(three, sets.line(three)[2]).T
        bend = before - 2 * here + after
        with np.errstate(divide="ignore", invalid="ignore"):
            vertex = step * (before - after) / (2 * bend)
        downhill = step * np.sign(before - after)
        move = np.where(bend > 0, np.clip(vertex, -step, step), downhill)
        best = np.clip(best + move, logs[0], logs[-1])
        step *= 0.3
    return best
