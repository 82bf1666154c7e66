"""What would change, and how sure is that?"""

import math
from dataclasses import dataclass
from typing import Any

from travelers.formulas.forecast.futures import Futures
from travelers.formulas.forecast.line import Line
from travelers.formulas.forecast.simulate import simulate

DAY_S = 86_400


@dataclass(frozen=True, slots=True)
class Change:
    """A mean difference, and the interval that holds it with the confidence asked for.

    Attributes
    ----------
    mean, low, high : float
    apart : float
        How many times wider the interval would be if the two had not been drawn with
        the same luck.
    """

    mean: float
    low: float
    high: float
    apart: float


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """What another line brings, beside this one.

    Attributes
    ----------
    finish_s : Change
        By how many seconds an instrument is finished later, on average over all; below
        0 is sooner.
    last_s : Change
        By how many seconds the last one is finished later.
    late : Change
        How many more are late.
    by : Change
        How many more are finished by the moment asked for; all 0 if none was.
    here, there : Futures
        The two.
    """

    finish_s: Change
    last_s: Change
    late: Change
    by: Change
    here: Futures
    there: Futures


def compare(
    here: Line,
    there: Line,
    seed: int,
    futures: int,
    *,
    by_s: float | None = None,
    confidence: float = 0.95,
) -> Comparison:
    """Live through two lines with the same luck, and tell what differs.

    Parameters
    ----------
    here, there : Line
        With the same instruments, such as the floor and the floor with one more place.
    seed, futures
        As for `simulate`; at least 2 futures.
    by_s : float, optional
        Seconds: how many more instruments are finished by then?
    confidence : float
        Between 0 and 1.

    Returns
    -------
    Comparison
        There less here.

    Raises
    ------
    ValueError
        As `simulate`; if the instruments differ, or a number is out of its range.

    References
    ----------
    The paired-t interval with common random numbers, as in A. M. Law, Simulation
    Modeling and Analysis (from memory).
    """
    if not futures >= 2:
        raise ValueError(f"futures must be at least 2, got {futures!r}")
    own, others = ([one.name for one in line.instruments] for line in (here, there))
    if own != others:
        raise ValueError("there must have the same instruments as here, got others")
    return compared(
        simulate(here, seed, futures),
        simulate(there, seed, futures),
        by_s=by_s,
        confidence=confidence,
    )


def compared(
    here: Futures,
    there: Futures,
    *,
    by_s: float | None = None,
    confidence: float = 0.95,
) -> Comparison:
    """Tell what differs between two lines' futures of one seed.

    Parameters
    ----------
    here, there : Futures
        As many of each, of one seed.
    by_s, confidence
        As for :func:`compare`.

    Returns
    -------
    Comparison

    Raises
    ------
    ValueError
        If they are not as many, or a number is out of its range.
    """
    if not 0 < confidence < 1:
        raise ValueError(f"confidence must be between 0 and 1, got {confidence!r}")
    if not here.count == there.count >= 2:
        raise ValueError(
            f"there must have as many futures as here, at least 2, got {here.count} "
            f"and {there.count}"
        )
    limit = -math.inf if by_s is None else by_s
    dues = [one.due_s for one in here.line.instruments]
    own = [one.due_s for one in there.line.instruments]
    a, b = here.finishes_s, there.finishes_s

    def change(first: Any, second: Any) -> Change:
        return _paired(first, second, confidence)

    return Comparison(
        finish_s=change(a.mean(axis=1), b.mean(axis=1)),
        last_s=change(a.max(axis=1), b.max(axis=1)),
        late=change((a > dues).sum(axis=1), (b > own).sum(axis=1)),
        by=change((a <= limit).sum(axis=1), (b <= limit).sum(axis=1)),
        here=here,
        there=there,
    )


def _paired(first: Any, second: Any, confidence: float) -> Change:
    from scipy.special import stdtrit

    count = len(first)
    told = second - first
    mean = float(told.mean())
    wide = float(stdtrit(count - 1, (1 + confidence) / 2))
    half = wide * float(told.std(ddof=1)) / math.sqrt(count)
    alone = wide * math.sqrt((first.var(ddof=1) + second.var(ddof=1)) / count)
    return Change(mean, mean - half, mean + half, alone / half if half else 1.0)
