"""Does the share of bad parts, or the number of defects, stay as it was?"""

from collections.abc import Sequence
from typing import Any

from travelers.formulas.control.charts import (
    Chart,
    as_row,
    based,
    line,
    must_be_finite,
)


def proportion(
    defective: Sequence[int],
    sizes: int | Sequence[int],
    *,
    base: slice | None = None,
    center: float | None = None,
    as_count: bool = False,
) -> Chart:
    """Chart the share of defective parts in lots (p), or their number (np).

    Parameters
    ----------
    defective : sequence of int
        Defective parts of each lot, from 0 to its size.
    sizes : int or sequence of int
        Parts looked at in each lot, from 1.
    base : slice, optional
        The lots that the limits are made of; all, where left out.
    center : float, optional
        The share settled before, from 0 to 1, in place of a base.
    as_count : bool
        Show the number of parts in place of their share.

    Returns
    -------
    Chart
        With lines for each lot where the sizes differ.

    Raises
    ------
    ValueError
        If there is no lot, a number is out of its range or not whole, there is not one
        size for each lot, or the base holds fewer than two lots.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.3.3.2: three-sigma limits by the normal approximation,
    cut at nought and at all.

    Examples
    --------
    >>> chart = proportion([12, 15, 8, 10, 4], 50)
    >>> round(chart.center, 3), round(chart.lower, 4), round(chart.upper, 4)
    (0.196, 0.0276, 0.3644)
    >>> proportion([12, 15, 8, 10, 4], 50, as_count=True).center
    9.8
    """
    import numpy as np

    bad = _whole("defective", defective, 0)
    lots = _sizes(sizes, len(bad))
    _must_be_whole("sizes", lots, 1)
    if (bad > lots).any():
        place = int(np.flatnonzero(bad > lots)[0])
        raise ValueError(
            f"defective must be at most the lot's size {lots[place]:g}, "
            f"got {bad[place]:g}"
        )
    share, held = _rate(bad, lots, base, center)
    if share > 1:
        raise ValueError(f"center must lie from 0 to 1, got {share!r}")
    unit = lots if as_count else np.ones_like(lots)
    step = unit * np.sqrt(share * (1 - share) / lots)
    return _chart(bad / lots * unit, share * unit, step, held, highest=unit)


def counts(
    defects: Sequence[int],
    sizes: float | Sequence[float] | None = None,
    *,
    base: slice | None = None,
    center: float | None = None,
) -> Chart:
    """Chart the number of defects (c), or their number for each unit of size (u).

    Parameters
    ----------
    defects : sequence of int
        Defects found, from 0.
    sizes : float or sequence of float, optional
        How much was looked at each time (parts, area), above 0. Left out, it was alike
        each time and the chart shows the numbers themselves.
    base : slice, optional
        The points that the limits are made of; all, where left out.
    center : float, optional
        The number (for each unit) settled before, from 0, in place of a base.

    Returns
    -------
    Chart
        With limits for each point where the sizes differ.

    Raises
    ------
    ValueError
        If there is no point, a number is out of its range or not whole, there is not
        one size for each point, or the base holds fewer than two points.

    References
    ----------
    NIST/SEMATECH e-Handbook 6.3.3.1: three-sigma limits by the normal approximation,
    cut at nought.

    Examples
    --------
    >>> chart = counts([16, 14, 28, 16, 12, 20, 10, 12])
    >>> chart.center, chart.lower, chart.upper, chart.beyond
    (16.0, 4.0, 28.0, ())
    >>> round(counts([14, 12, 20], [10.0, 8.0, 13.0]).center, 4)
    1.4839
    """
    import numpy as np

    found = _whole("defects", defects, 0)
    amounts = _sizes(1 if sizes is None else sizes, len(found))
    if not (amounts > 0).all():
        raise ValueError(f"sizes must be above 0, got {float(amounts.min())!r}")
    rate, held = _rate(found, amounts, base, center)
    step = np.sqrt(rate / amounts)
    return _chart(found / amounts, np.full(len(found), rate), step, held)


def _whole(name: str, values: Sequence[int], least: int) -> Any:
    row = as_row(name, values)
    _must_be_whole(name, row, least)
    return row


def _must_be_whole(name: str, row: Any, least: int) -> None:
    wrong = row[(row < least) | (row % 1 != 0)]
    if wrong.size:
        raise ValueError(
            f"{name} must be whole numbers from {least}, got {float(wrong[0])!r}"
        )


def _sizes(sizes: float | Sequence[float], count: int) -> Any:
    import numpy as np

    given: Any = np.full(count, sizes) if np.ndim(sizes) == 0 else sizes
    row = as_row("sizes", given)
    if len(row) != count:
        raise ValueError(
            f"sizes must be one for each point, got {len(row)} for {count}"
        )
    return row


def _rate(
    found: Any, sizes: Any, base: slice | None, center: float | None
) -> tuple[float, int]:
    """Say how much was found in all of what was looked at, and in how many points."""
    if center is None:
        chosen = based(base, len(found))
        rate = float(found[chosen].sum() / sizes[chosen].sum())
        return rate, chosen.stop - chosen.start
    if base is not None:
        raise ValueError(f"base must be left out where center is given, got {base!r}")
    must_be_finite("center", center)
    if center < 0:
        raise ValueError(f"center must be at least 0, got {center!r}")
    return float(center), 0


def _chart(
    points: Any, center: Any, step: Any, held: int, highest: Any = None
) -> Chart:
    import numpy as np

    upper = center + 3 * step
    if highest is not None:
        upper = np.minimum(upper, highest)
    return Chart(
        center=line(center),
        lower=line(np.maximum(center - 3 * step, 0.0)),
        upper=line(upper),
        points=tuple(points.tolist()),
        sigma=line(step),
        point_sigma=line(step),
        based_on=held,
    )
