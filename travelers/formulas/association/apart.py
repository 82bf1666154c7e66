"""Which of the suspects is to blame, and which only goes along with it?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from travelers.formulas.association.adjust import holm
from travelers.formulas.association.exact import chances


@dataclass(frozen=True, slots=True)
class Explained:
    """By which suspect another is explained, and how well the two are told apart.

    ``p_given`` is the other's p once the explaining suspect (and those before it) is
    taken into account. ``told_apart`` says that the opposite does not hold: without the
    other, what explains it is still over-represented.
    """

    by: int
    p_given: float
    told_apart: bool


def tell_apart(
    members: Any, is_case: Any, p_values: Sequence[float], level: float
) -> list[Explained | None]:
    """Find among suspects those that go along with others.

    Parameters
    ----------
    members : array of bool, suspects by instruments
        Each row is another set of instruments.
    is_case : array of bool
        Which instruments are defective.
    p_values : sequence of float
        Of each suspect by itself, one-sided.
    level : float
        Up to where a conditional p counts as over-represented still.

    Returns
    -------
    list of Explained or None
        None for those that lead.

    Notes
    -----
    Given B, suspect A is tested within B's members and outside them, each with its own
    number of cases; what is tested is A's cases in both together (the exact form of the
    Mantel-Haenszel test). For a plank within its delivery, that asks within the
    delivery; for the delivery, it asks of its other planks. A pair is told apart if A
    is no longer over-represented given B, while B is given A.

    1. The first to lead is the one of smallest p that no other explains so.
    2. The others are tested given all that lead, and adjusted by :func:`holm` among
       those left: of many pieces of one bad delivery some are always a little worse.
       What is no longer over-represented then, stands beneath the last to lead.
    3. Of what is left, the next to lead is found likewise, its p being that given all
       that lead; until nothing is left.

    References
    ----------
    Mantel and Haenszel (1959), Journal of the National Cancer Institute 22:719-748;
    its exact form as in Gart (1970), Biometrika 57:471-475, from memory.

    Examples
    --------
    A delivery of six, with a plank of three that are all defective.

    >>> import numpy as np
    >>> inside = np.zeros((2, 40), dtype=bool)
    >>> inside[0, :6] = inside[1, :3] = True
    >>> case = np.arange(40) < 3
    >>> tell_apart(inside, case, [0.002, 0.0001], 0.05)[0].by
    1
    """
    import numpy as np

    members, is_case = np.asarray(members, bool), np.asarray(is_case, bool)
    told: list[Explained | None] = [None] * len(members)
    pairs = p_given_each(members, is_case)
    given = np.array(p_values, dtype=float)
    strata = np.zeros(members.shape[1], dtype=int)
    left = np.arange(len(members))
    while left.size:
        lead = _next(left, given, pairs, level)
        left = left[left != lead]
        strata = np.unique(2 * strata + members[lead], return_inverse=True)[1]
        given[left] = [p_within(members[one], is_case, strata) for one in left]
        adjusted = np.array(holm(given[left].tolist()))
        for one in left[adjusted > level].tolist():
            apart = bool(pairs[lead, one] <= level)
            told[one] = Explained(int(lead), float(given[one]), apart)
        left = left[adjusted <= level]
    return told


def _next(left: Any, given: Any, pairs: Any, level: float) -> Any:
    import numpy as np

    among = pairs[np.ix_(left, left)]
    explained = ((among > level) & (level >= among.T)).any(axis=1)
    free = left[~explained] if not explained.all() else left
    return free[np.argmin(given[free])]


def p_given_each(members: Any, is_case: Any) -> Any:
    """Say for every pair the one-sided p of the first given the second."""
    import numpy as np

    count, size = len(members), members.shape[1]
    counted = members.astype(float)
    of_cases = counted * is_case
    both, both_cases = counted @ counted.T, of_cases @ counted.T
    sizes, cases = np.diag(both), np.diag(both_cases)
    total = int(is_case.sum())

    def flat(of_first: Any, of_second: Any, both: Any) -> tuple[Any, Any]:
        inside = both.ravel().astype(int)
        first = np.broadcast_to(of_first[:, None], (count, count)).ravel().astype(int)
        second = np.broadcast_to(of_second[None, :], (count, count)).ravel()
        return second.astype(int), np.stack([inside, first - inside])

    of_second, drawn = flat(sizes, sizes, both)
    cases_second, seen = flat(cases, cases, both_cases)
    within = chances(of_second, cases_second, drawn[0])
    outside = chances(size - of_second, total - cases_second, drawn[1])
    need = seen.sum(axis=0) - within.low - outside.low
    tails = outside.at_least
    over = need[:, None] - np.arange(within.share.shape[1])
    rows = np.arange(len(over))[:, None]
    tail = tails[rows, np.clip(over, 0, tails.shape[1] - 1)]
    tail = np.where(over <= 0, 1.0, np.where(over >= tails.shape[1], 0.0, tail))
    told = (within.share * tail).sum(axis=1)
    return np.minimum(told, 1.0).reshape(count, count)


def p_within(inside: Any, is_case: Any, strata: Any) -> float:
    """Say the one-sided p of a group, each stratum with its own number of cases."""
    import numpy as np

    kinds = int(strata.max()) + 1
    total = np.bincount(strata, minlength=kinds)
    marked = np.bincount(strata[is_case], minlength=kinds)
    drawn = np.bincount(strata[inside], minlength=kinds)
    found = chances(total, marked, drawn)
    share = np.ones(1)
    for one in found.share:
        share = np.convolve(share, one)
    need = int((inside & is_case).sum() - found.low.sum())
    return float(min(share[need:].sum(), 1.0))
