"""Could the values come from a normal distribution?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from travelers.formulas.control.charts import as_row

# The approximation of the p-value was made for samples from this size on.
FEWEST_FOR_NORMALITY = 8
# Beyond this the p-value's formula was not made; it is below 1e-23 there.
_LARGEST_KNOWN = 10.0


@dataclass(frozen=True, slots=True)
class Normality:
    """The Anderson-Darling test of a sample whose mean and deviation are estimated.

    ``adjusted`` is the statistic corrected for the sample's size; ``p_value`` the
    chance that normal values would fit no better.
    """

    statistic: float
    adjusted: float
    p_value: float


def normality(values: Sequence[float]) -> Normality:
    """Test by Anderson and Darling whether values are normal.

    Parameters
    ----------
    values : sequence of float
        At least eight, not all equal.

    Returns
    -------
    Normality

    Raises
    ------
    ValueError
        If there are fewer than eight values, all are equal, or one is not finite.

    References
    ----------
    Statistic and correction of Stephens (1974), J. Am. Stat. Assoc. 69:730-737, as in
    NIST/SEMATECH e-Handbook 1.3.5.14; p-value of D'Agostino and Stephens (1986),
    Goodness-of-Fit Techniques, table 4.9, constants from memory, checked against
    published critical values in the tests.

    Examples
    --------
    >>> found = normality([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> round(found.adjusted, 4), round(found.p_value, 3)
    (0.3346, 0.508)
    """
    import numpy as np
    from scipy.special import log_ndtr

    row = np.sort(as_row("values", values, FEWEST_FOR_NORMALITY))
    n = len(row)
    spread = float(row.std(ddof=1))
    if row[0] == row[-1]:
        raise ValueError(f"values must not all be equal, got {float(row[0])!r}")
    z = (row - row.mean()) / spread
    weights = 2 * np.arange(1, n + 1) - 1
    # The largest value is looked at with the least.
    below, above = log_ndtr(z), log_ndtr(-z[::-1])
    statistic = -n - float((weights * (below + above)).mean())
    adjusted = statistic * (1 + 0.75 / n + 2.25 / n**2)
    return Normality(statistic, adjusted, anderson_darling_p(adjusted))


def anderson_darling_p(adjusted: float) -> float:
    """Say the chance that normal values give an adjusted statistic as large as this.

    Parameters
    ----------
    adjusted : float
        From 0; beyond 10 the answer is that of 10.

    Returns
    -------
    float
        From 0 to 1.

    Raises
    ------
    ValueError
        If the statistic is below 0 or not finite.

    References
    ----------
    As for :func:`normality`.

    Examples
    --------
    >>> round(anderson_darling_p(0.752), 3)
    0.05
    """
    if not (adjusted >= 0 and math.isfinite(adjusted)):
        raise ValueError(f"adjusted must be at least 0 and finite, got {adjusted!r}")
    a = min(adjusted, _LARGEST_KNOWN)
    if a >= 0.6:
        return math.exp(1.2937 - 5.709 * a + 0.0186 * a * a)
    if a >= 0.34:
        return math.exp(0.9177 - 4.279 * a - 1.38 * a * a)
    if a >= 0.2:
        return 1 - math.exp(-8.318 + 42.796 * a - 59.938 * a * a)
    return 1 - math.exp(-13.436 + 101.14 * a - 223.73 * a * a)
