"""Does a measured value stay as it was, one by one or in groups?"""

import math
from collections.abc import Sequence
from typing import Any

from travelers.formulas.control.charts import Chart, Known, as_row, based, known
from travelers.formulas.control.factors import Constants, constants


def individuals(
    values: Sequence[float],
    *,
    base: slice | None = None,
    center: float | None = None,
    sigma: float | None = None,
) -> Chart:
    """Chart single values, with the chart of their moving ranges beside it.

    Parameters
    ----------
    values : sequence of float
        In the order in which they were made.
    base : slice, optional
        The values that the limits are made of; all, where left out.
    center, sigma : float, optional
        Mean and standard deviation settled before, in place of a base.

    Returns
    -------
    Chart
        ``spread`` shows the ranges of two neighbours, one fewer than the values; its
        point ``i`` is between the values ``i`` and ``i + 1``.

    Raises
    ------
    ValueError
        If there is no value or one is not finite, the base holds fewer than two, or
        ``sigma`` is not above 0.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.3.2.2, with d2 to all its digits.

    Examples
    --------
    >>> flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
    >>> chart = individuals(flow)
    >>> round(chart.center, 2), round(chart.lower, 2), round(chart.upper, 2)
    (50.81, 45.82, 55.8)
    """
    import numpy as np

    row = as_row("values", values)
    ranges = np.abs(np.diff(row))
    two = constants(2)
    settled = known(center, sigma, base)
    held = 0
    if settled is None:
        chosen = based(base, len(row))
        held = chosen.stop - chosen.start
        mean_range = ranges[chosen.start : chosen.stop - 1].mean()
        settled = Known(float(row[chosen].mean()), float(mean_range) / two.d2)
    return _chart(row, settled, 1, held, _ranges(ranges, two, settled.sigma, held))


def mean_range(
    groups: Sequence[Sequence[float]],
    *,
    base: slice | None = None,
    center: float | None = None,
    sigma: float | None = None,
) -> Chart:
    """Chart the means of small groups, with the chart of their ranges beside it.

    Parameters
    ----------
    groups : sequence of sequence of float
        Groups of one size, from 2 to 25 values.
    base : slice, optional
        The groups that the limits are made of; all, where left out.
    center, sigma : float, optional
        Mean and standard deviation of a value, settled before, in place of a base.

    Returns
    -------
    Chart
        ``sigma`` is that of a value within its group.

    Raises
    ------
    ValueError
        If there is no group, the groups differ in size or are too small or large, a
        value is not finite, the base holds fewer than two groups, or ``sigma`` is not
        above 0.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.3.2.1.

    Examples
    --------
    >>> chart = mean_range([[5, 7, 6], [6, 8, 7], [5, 6, 4]])
    >>> chart.center, round(chart.upper, 3), round(chart.spread.upper, 3)
    (6.0, 8.047, 5.149)
    """
    import numpy as np

    rows, factors = _as_groups(groups)
    ranges = np.ptp(rows, axis=1)
    settled, held = _settle(rows, ranges / factors.d2, base, known(center, sigma, base))
    beside = _ranges(ranges, factors, settled.sigma, held)
    return _chart(rows.mean(axis=1), settled, rows.shape[1], held, beside)


def mean_deviation(
    groups: Sequence[Sequence[float]],
    *,
    base: slice | None = None,
    center: float | None = None,
    sigma: float | None = None,
) -> Chart:
    """Chart the means of groups, with the chart of their standard deviations beside it.

    Parameters
    ----------
    groups, base, center, sigma
        As for :func:`mean_range`.

    Returns
    -------
    Chart
        ``sigma`` is that of a value within its group.

    Raises
    ------
    ValueError
        As for :func:`mean_range`.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.3.2.1.

    Examples
    --------
    >>> chart = mean_deviation([[5, 7, 6], [6, 8, 7], [5, 6, 4]])
    >>> chart.spread.center, round(chart.upper, 3), round(chart.spread.upper, 3)
    (1.0, 7.954, 2.568)
    """
    rows, factors = _as_groups(groups)
    deviations = rows.std(axis=1, ddof=1)
    settled, held = _settle(
        rows, deviations / factors.c4, base, known(center, sigma, base)
    )
    beside = _beside(
        deviations,
        factors.c4 * settled.sigma,
        math.sqrt(1 - factors.c4**2) * settled.sigma,
        settled.sigma,
        held,
    )
    return _chart(rows.mean(axis=1), settled, rows.shape[1], held, beside)


def _as_groups(groups: Sequence[Sequence[float]]) -> tuple[Any, Constants]:
    """Make a table of groups, and give the factors of their size."""
    import numpy as np

    if not len(groups):
        raise ValueError("groups must hold at least 1, got 0")
    rows = [
        as_row(f"groups[{place}]", group, least=2) for place, group in enumerate(groups)
    ]
    sizes = sorted({len(row) for row in rows})
    if len(sizes) > 1:
        raise ValueError(f"groups must all be of one size, got sizes {sizes}")
    return np.array(rows), constants(sizes[0])


def _settle(
    rows: Any, sigmas: Any, base: slice | None, settled: Known | None
) -> tuple[Known, int]:
    """Make centre and standard deviation of the base, where they are not given."""
    if settled is not None:
        return settled, 0
    chosen = based(base, len(rows))
    found = Known(float(rows[chosen].mean()), float(sigmas[chosen].mean()))
    return found, chosen.stop - chosen.start


def _chart(
    points: Any, settled: Known, size: int, held: int, beside: Chart | None
) -> Chart:
    step = settled.sigma / math.sqrt(size)
    return Chart(
        center=settled.center,
        lower=settled.center - 3 * step,
        upper=settled.center + 3 * step,
        points=tuple(points.tolist()),
        sigma=settled.sigma,
        point_sigma=step,
        based_on=held,
        spread=beside,
    )


def _ranges(ranges: Any, factors: Constants, sigma: float, held: int) -> Chart:
    return _beside(ranges, factors.d2 * sigma, factors.d3 * sigma, sigma, held)


def _beside(points: Any, center: float, step: float, sigma: float, held: int) -> Chart:
    """Chart ranges or deviations, which have no lower end but nought."""
    return Chart(
        center=center,
        lower=max(0.0, center - 3 * step),
        upper=center + 3 * step,
        points=tuple(points.tolist()),
        sigma=sigma,
        point_sigma=step,
        based_on=held,
    )
