"""Which patterns among a chart's points are too rare to be chance?"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

# What arithmetic leaves of a difference that is none, in standard deviations.
ROUNDING = 1e-9


class Rule(StrEnum):
    """The run rules, by the names under which they are stored."""

    NELSON_1 = "nelson_1"
    NELSON_2 = "nelson_2"
    NELSON_3 = "nelson_3"
    NELSON_4 = "nelson_4"
    NELSON_5 = "nelson_5"
    NELSON_6 = "nelson_6"
    NELSON_7 = "nelson_7"
    NELSON_8 = "nelson_8"
    WESTERN_ELECTRIC_1 = "western_electric_1"
    WESTERN_ELECTRIC_2 = "western_electric_2"
    WESTERN_ELECTRIC_3 = "western_electric_3"
    WESTERN_ELECTRIC_4 = "western_electric_4"


NELSON = tuple(rule for rule in Rule if rule.startswith("nelson"))
WESTERN_ELECTRIC = tuple(rule for rule in Rule if rule.startswith("western"))


@dataclass(frozen=True, slots=True)
class Signal:
    """A point that completes a pattern, and the first point that belongs to it.

    Both are places among the points, from 0.
    """

    rule: Rule
    index: int
    first: int


def run_rules(
    points: Sequence[float],
    center: float | Sequence[float],
    sigma: float | Sequence[float],
    rules: Iterable[Rule | str] = NELSON,
) -> list[Signal]:
    """Find the patterns that run rules call signals.

    Parameters
    ----------
    points : sequence of float
        What the chart shows, in its order.
    center : float or sequence of float, one for each point
        The centre line.
    sigma : float or sequence of float, one for each point
        The standard deviation of a point, above 0: a third of the way from the centre
        line to a three-sigma limit.
    rules : iterable of Rule
        ``NELSON`` (eight), ``WESTERN_ELECTRIC`` (four), or some of either.

    Returns
    -------
    list of Signal
        By index, then as the rules stand in their set. Each point that completes a
        pattern is told, so a run of eleven on one side gives three signals of Nelson's
        second rule, all with the same ``first``.

    Raises
    ------
    ValueError
        If there is no point, a number is not finite, ``sigma`` is not above 0, there
        is not one line for each point, or a rule is not known.

    Notes
    -----
    A point on a line is not beyond it; a point on the centre line is on neither side;
    equal neighbours neither rise nor fall. Differences below 1e-9 sigma are none. Where
    two of three (four of five) are asked for, three (five) points must exist, and the
    last of them must itself be beyond the line. Eight that avoid the centre must lie on
    both sides within those eight. Where each point has lines of its own, all rules look
    at the points as measured from them.

    References
    ----------
    Nelson (1984), Journal of Quality Technology 16(4):237-239. The Western Electric
    rules of 1956 as in NIST/SEMATECH e-Handbook 6.3.2.

    Examples
    --------
    >>> run_rules([0.2, -0.5, 0.3, 3.2, 0.1], 0.0, 1.0)
    [Signal(rule=<Rule.NELSON_1: 'nelson_1'>, index=3, first=3)]
    >>> [one.index for one in run_rules([0.5] * 9, 0.0, 1.0, WESTERN_ELECTRIC)]
    [7, 8]
    """
    import numpy as np

    z = _standardised(points, center, sigma)
    asked = _known(rules)
    found = []
    for place, rule in enumerate(asked):
        completes, first = _PATTERNS[rule](z)
        found += [
            (index, place, int(first[index]))
            for index in np.flatnonzero(completes).tolist()
        ]
    return [Signal(asked[place], index, first) for index, place, first in sorted(found)]


def _known(rules: Iterable[Rule | str]) -> list[Rule]:
    asked = set(rules)
    unknown = sorted(str(one) for one in asked if one not in set(Rule))
    if unknown:
        raise ValueError(f"rules must be of {', '.join(Rule)}, got {unknown!r}")
    return [rule for rule in Rule if rule in asked]


def _standardised(
    points: Sequence[float],
    center: float | Sequence[float],
    sigma: float | Sequence[float],
) -> Any:
    """Measure the points from their centre line, in standard deviations."""
    import numpy as np

    lines = []
    for name, given in (("points", points), ("center", center), ("sigma", sigma)):
        line = np.asarray(given, dtype=float)
        bad = line[~np.isfinite(line)]
        if bad.size:
            raise ValueError(f"{name} must be finite, got {float(bad.flat[0])!r}")
        lines.append(line)
    values, middle, spread = lines
    if values.ndim != 1 or not values.size:
        raise ValueError(f"points must be one row of one at least, got {values.shape}")
    for name, line in (("center", middle), ("sigma", spread)):
        if line.ndim and line.shape != values.shape:
            raise ValueError(
                f"{name} must be one number or one for each point, got {line.size} "
                f"for {values.size}"
            )
    if not (spread > 0).all():
        raise ValueError(f"sigma must be above 0, got {float(spread.min())!r}")
    return (values - middle) / spread


# Each pattern gives for every point whether it completes one, and where that began.


def _beyond(z: Any) -> tuple[Any, Any]:
    import numpy as np

    return np.abs(z) > 3 + ROUNDING, np.arange(len(z))


def _run(holds: Any, length: int) -> tuple[Any, Any]:
    """Find the points at which something has held for so many points."""
    import numpy as np

    places = np.arange(len(holds))
    start = np.maximum.accumulate(np.where(holds, -1, places)) + 1
    return holds & (places - start + 1 >= length), start


def _either(one: tuple[Any, Any], other: tuple[Any, Any]) -> tuple[Any, Any]:
    """Join patterns of two sides; no point completes both."""
    import numpy as np

    return one[0] | other[0], np.where(one[0], one[1], other[1])


def _same_side(length: int) -> Any:
    def pattern(z: Any) -> tuple[Any, Any]:
        return _either(_run(z > ROUNDING, length), _run(z < -ROUNDING, length))

    return pattern


def _trend(z: Any) -> tuple[Any, Any]:
    import numpy as np

    steps = np.diff(z)
    found, start = _either(_run(steps > ROUNDING, 5), _run(steps < -ROUNDING, 5))
    return _after_the_first(found), _after_the_first(start)


def _alternating(z: Any) -> tuple[Any, Any]:
    import numpy as np

    way = np.sign(np.where(np.abs(steps := np.diff(z)) > ROUNDING, steps, 0))
    found, start = _run(way[1:] * way[:-1] < 0, 12)
    return (
        _after_the_first(_after_the_first(found)),
        _after_the_first(_after_the_first(start)),
    )


def _after_the_first(of_steps: Any) -> Any:
    """Move what was found of the steps between points to the points they end at."""
    import numpy as np

    return np.concatenate([np.zeros(1, dtype=of_steps.dtype), of_steps])


def _several(least: int, of: int, line: float) -> Any:
    """Look for so many of a few points beyond a line, all on one side."""

    def one_side(beyond: Any) -> tuple[Any, Any]:
        import numpy as np

        found, first = np.zeros(len(beyond), dtype=bool), np.arange(len(beyond))
        if len(beyond) >= of:
            windows = np.lib.stride_tricks.sliding_window_view(beyond, of)
            found[of - 1 :] = beyond[of - 1 :] & (windows.sum(axis=1) >= least)
            first[of - 1 :] += windows.argmax(axis=1) - (of - 1)
        return found, first

    def pattern(z: Any) -> tuple[Any, Any]:
        return _either(one_side(z > line + ROUNDING), one_side(z < -line - ROUNDING))

    return pattern


def _hugging(z: Any) -> tuple[Any, Any]:
    import numpy as np

    return _run(np.abs(z) <= 1 + ROUNDING, 15)


def _avoiding(z: Any) -> tuple[Any, Any]:
    """Find eight in a row outside one sigma, of which not all are on one side."""
    import numpy as np

    found, start = _run(np.abs(z) > 1 + ROUNDING, 8)
    for side in (z > 0, z < 0):
        found = found & ~_run(side, 8)[0]
    return found, start


_PATTERNS = {
    Rule.NELSON_1: _beyond,
    Rule.NELSON_2: _same_side(9),
    Rule.NELSON_3: _trend,
    Rule.NELSON_4: _alternating,
    Rule.NELSON_5: _several(2, 3, 2.0),
    Rule.NELSON_6: _several(4, 5, 1.0),
    Rule.NELSON_7: _hugging,
    Rule.NELSON_8: _avoiding,
    Rule.WESTERN_ELECTRIC_1: _beyond,
    Rule.WESTERN_ELECTRIC_2: _several(2, 3, 2.0),
    Rule.WESTERN_ELECTRIC_3: _several(4, 5, 1.0),
    Rule.WESTERN_ELECTRIC_4: _same_side(8),
}
