"""Has a value moved a little, and stayed there?"""

import math
from collections.abc import Sequence

from travelers.formulas.control.charts import Chart, as_row, must_be_finite


def ewma(
    values: Sequence[float],
    target: float,
    sigma: float,
    weight: float = 0.2,
    width: float = 3.0,
    *,
    settled: bool = False,
) -> Chart:
    """Chart the exponentially weighted moving average of values.

    Parameters
    ----------
    values : sequence of float
        Single values or means of groups, in the order in which they were made.
    target : float
        Where the average starts, and the centre line.
    sigma : float
        Standard deviation of one of the values, above 0.
    weight : float
        The share of the newest value, above 0 and up to 1; small weights find small
        shifts.
    width : float
        Half the distance of the limits in standard deviations of the average, above 0.
    settled : bool
        Draw the limits at which they end, in place of those of each point, which are
        narrower at first.

    Returns
    -------
    Chart
        Its averages hang together, so that of all rules only ``beyond`` holds for them.

    Raises
    ------
    ValueError
        If there is no value, or a number is out of its range or not finite.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.3.2.4; limits of each point as in Lucas and Saccucci
    (1990), Technometrics 32(1):1-12, from memory.

    Examples
    --------
    >>> chart = ewma([52.0, 47.0, 53.0, 49.3], 50.0, 2.0539, 0.3, settled=True)
    >>> [round(one, 2) for one in chart.points], round(chart.upper, 2)
    ([50.6, 49.52, 50.56, 50.18], 52.59)
    """
    row = as_row("values", values)
    must_be_finite("target", target)
    for name, value in (("sigma", sigma), ("width", width)):
        if not (value > 0 and math.isfinite(value)):
            raise ValueError(f"{name} must be above 0 and finite, got {value!r}")
    if not 0 < weight <= 1:
        raise ValueError(f"weight must be above 0 and at most 1, got {weight!r}")
    average, points = float(target), []
    for value in row.tolist():
        average += weight * (value - average)
        points.append(average)
    end = sigma * math.sqrt(weight / (2 - weight))
    steps = tuple(
        end * math.sqrt(1 - (1 - weight) ** (2 * count))
        for count in range(1, len(points) + 1)
    )
    return Chart(
        center=float(target),
        lower=target - width * end
        if settled
        else tuple(target - width * step for step in steps),
        upper=target + width * end
        if settled
        else tuple(target + width * step for step in steps),
        points=tuple(points),
        sigma=float(sigma),
        point_sigma=end if settled else steps,
        based_on=0,
    )
