"""How fast do sets of one sort dry, as far as others of it have told?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from travelers.formulas.drying.fits import DryingFit

# With no more than this many sets nothing is known of how they differ.
FEWEST_SETS = 3
# However alike the sets of a sort were so far, the next may differ by so much.
LEAST_SPREAD = 0.1


@dataclass(frozen=True, slots=True)
class RatePrior:
    """The rates of a sort of sets: their logarithms' mean and standard deviation."""

    mean_log: float
    spread_log: float


def pool(fits: Sequence["DryingFit"]) -> RatePrior | None:
    """Learn from the sets of one species and thickness how fast such sets dry.

    Parameters
    ----------
    fits : sequence of DryingFit
        What was fitted to each set alone, without a prior.

    Returns
    -------
    RatePrior or None
        None for fewer than three sets.

    Notes
    -----
    Each set's logarithm of the rate is known only so well; what it varies by chance is
    taken out of the spread between sets (method of moments).

    References
    ----------
    DerSimonian and Laird (1986), Controlled Clinical Trials 7:177-188, the estimator
    of the variance between; formula from memory.

    Examples
    --------
    >>> from travelers.formulas.drying import fit, moisture_after_pct
    >>> days = [0, 10, 20, 30, 40]
    >>> alike = [
    ...     fit(days, [moisture_after_pct(12, 5, k, day) for day in days], 5)
    ...     for k in (0.04, 0.05, 0.0625)
    ... ]
    >>> prior = pool(alike)
    >>> round(prior.mean_log, 2), round(prior.spread_log, 2)
    (-3.0, 0.21)
    """
    if len(fits) < FEWEST_SETS:
        return None
    logs = [one.mean_log_rate for one in fits]
    within = [max(one.spread_log_rate, 1e-3) ** 2 for one in fits]
    weights = [1 / one for one in within]
    total = sum(weights)
    mean = sum(w * x for w, x in zip(weights, logs, strict=True)) / total
    unlike = sum(w * (x - mean) ** 2 for w, x in zip(weights, logs, strict=True))
    scale = total - sum(w * w for w in weights) / total
    between = max(0.0, (unlike - (len(fits) - 1)) / scale) if scale > 0 else 0.0
    both = [1 / (one + between) for one in within]
    mean = sum(w * x for w, x in zip(both, logs, strict=True)) / sum(both)
    return RatePrior(mean, max(between**0.5, LEAST_SPREAD))
