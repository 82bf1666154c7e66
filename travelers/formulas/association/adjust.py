"""Of many suspects asked about at once, which is more than chance among so many?"""

import math
from collections.abc import Iterator, Sequence
from typing import Any

# What two margins both attain may differ in its last digits.
_SAME = 1 + 1e-9


def holm(p_values: Sequence[float]) -> list[float]:
    """Adjust p-values so that any false alarm among all of them stays rare.

    Parameters
    ----------
    p_values : sequence of float
        From 0 to 1, in any order.

    Returns
    -------
    list of float
        In the order given. Calling those at or below 0.05 gives one false alarm or more
        in at most 5 % of questions, however the tests hang together.

    Raises
    ------
    ValueError
        If a p-value is not from 0 to 1.

    References
    ----------
    Holm (1979), A Simple Sequentially Rejective Multiple Test Procedure, Scandinavian
    Journal of Statistics 6:65-70.

    Examples
    --------
    >>> [round(p, 3) for p in holm([0.01, 0.04, 0.03, 0.005, 0.2])]
    [0.04, 0.09, 0.09, 0.025, 0.2]
    """
    import numpy as np

    p, order = _ordered(p_values)
    raised = np.maximum.accumulate(p[order] * np.arange(len(p), 0, -1))
    return _back(raised, order)


def benjamini_hochberg(p_values: Sequence[float]) -> list[float]:
    """Adjust p-values so that few of those called are false alarms.

    Parameters
    ----------
    p_values : sequence of float
        From 0 to 1, in any order.

    Returns
    -------
    list of float
        In the order given. Of those called at or below 0.05 at most 5 % are expected to
        be false, for tests that are independent or rise and fall together.

    Raises
    ------
    ValueError
        If a p-value is not from 0 to 1.

    References
    ----------
    Benjamini and Hochberg (1995), Controlling the False Discovery Rate, Journal of the
    Royal Statistical Society B 57:289-300.

    Examples
    --------
    >>> [round(p, 3) for p in benjamini_hochberg([0.01, 0.04, 0.03, 0.005, 0.2])]
    [0.025, 0.05, 0.05, 0.025, 0.2]
    """
    import numpy as np

    p, order = _ordered(p_values)
    raised = p[order] * len(p) / np.arange(1, len(p) + 1)
    return _back(np.minimum.accumulate(raised[::-1])[::-1], order)


def holm_of_counts(
    p_values: Sequence[float], attainable: Sequence[Sequence[float]]
) -> list[float]:
    """Adjust as :func:`holm`, and count each test only for what it could have said.

    Parameters
    ----------
    p_values : sequence of float
        From 0 to 1, in any order.
    attainable : sequence of sequence of float, one for each p-value
        All p-values that this test can give, rising; its own is among them. Tests of
        equal margins may share one.

    Returns
    -------
    list of float
        In the order given; never above those of :func:`holm`.

    Raises
    ------
    ValueError
        If a p-value is not from 0 to 1, or there is not one sequence for each.

    Notes
    -----
    A plank of two instruments can hardly ever be told from chance, and need not be paid
    for. Whether the smallest p of a family is below p by chance has at most the
    probability of all its tests' greatest attainable p-values up to p, added up; a test
    that cannot come so low adds nothing. That sum is the adjusted p of the smallest; of
    the next it is the sum over those that are left, and never less than before.

    This is Tarone's idea, taken to each p-value instead of one level: so it cannot call
    at 1 % what it does not call at 5 %, which Tarone's own rule may. The sum over some
    tests is never above that over more of them, so the step down is a closed test, and
    the chance of any false alarm stays at most the level.

    References
    ----------
    Tarone (1990), A Modified Bonferroni Method for Discrete Data, Biometrics
    46:515-522; Hommel and Krummenauer (1998), Biometrics 54:673-681, on its flaw;
    Westfall and Wolfinger (1997), Multiple Tests with Discrete Distributions, The
    American Statistician 51:3-8, for the sum; the last from memory.

    Examples
    --------
    The second could never say less than 0.4, so the first stands as if alone.

    >>> holm_of_counts([0.02, 0.4], [[0.02, 0.3, 1.0], [0.4, 1.0]])
    [0.02, 0.4]
    """
    import numpy as np

    p, order = _ordered(p_values)
    _must_match(p_values, attainable)
    ranked = [attainable[one] for one in order]
    sums = np.zeros(len(p))
    for ranks, most in _greatest(p[order], ranked):
        sums += most * (len(ranks) - np.searchsorted(ranks, np.arange(len(p))))
    return _back(np.maximum.accumulate(sums), order)


def chance_of_any(
    p_values: Sequence[float], attainable: Sequence[Sequence[float]]
) -> list[float]:
    """Bound the chance that any of the tests gives a p as small as each of these.

    Parameters
    ----------
    p_values, attainable
        As for :func:`holm_of_counts`.

    Returns
    -------
    list of float
        In the order given, at most 1.

    Raises
    ------
    ValueError
        As for :func:`holm_of_counts`.

    References
    ----------
    As for :func:`holm_of_counts`; this is its sum over all tests.

    Examples
    --------
    >>> chance_of_any([0.02, 0.4], [[0.02, 0.3, 1.0], [0.4, 1.0]])
    [0.02, 0.7]
    """
    import numpy as np

    p, order = _ordered(p_values)
    _must_match(p_values, attainable)
    sums = np.zeros(len(p))
    for ranks, most in _greatest(p[order], [attainable[one] for one in order]):
        sums += most * len(ranks)
    return _back(sums, order)


def _must_match(p_values: Sequence[Any], attainable: Sequence[Any]) -> None:
    if len(attainable) != len(p_values):
        raise ValueError(
            f"attainable must be one for each p-value, got {len(attainable)} "
            f"for {len(p_values)}"
        )


def _greatest(limits: Any, attainable: Sequence[Any]) -> Iterator[tuple[Any, Any]]:
    """Give the tests of each margin, and their greatest p up to each of the limits."""
    import numpy as np

    alike: dict[int, list[int]] = {}
    for place, one in enumerate(attainable):
        alike.setdefault(id(one), []).append(place)
    for places in alike.values():
        steps = np.concatenate([[0.0], attainable[places[0]]])
        most = np.searchsorted(steps[1:], limits * _SAME, side="right")
        yield np.array(places), steps[most]


def _ordered(p_values: Sequence[float]) -> tuple[Any, Any]:
    import numpy as np

    for one in p_values:
        if not (0 <= one <= 1 and math.isfinite(one)):
            raise ValueError(f"p_values must lie from 0 to 1, got {one!r}")
    p = np.asarray(p_values, dtype=float)
    return p, np.argsort(p, kind="stable")


def _back(raised: Any, order: Any) -> list[float]:
    import numpy as np

    told = np.empty(len(order))
    told[order] = np.minimum(raised, 1.0)
    return [float(one) for one in told]
