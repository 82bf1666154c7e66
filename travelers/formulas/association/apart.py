"""Which of the suspects is to blame, and which only goes along with it?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from travelers.formulas.association.adjust import holm
from travelers.formulas.association.strata import chances_within

# Each that leads may double the strata.
_LEADERS = 8


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
    members: Any,
    is_case: Any,
    p_values: Sequence[float],
    level: float,
    strata: Any = None,
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
    strata : array of int, optional
        For each instrument the number of the stratum within which alone it is
        compared, from 0; by default all are in one.

    Returns
    -------
    list of Explained or None
        None for those that lead.

    Raises
    ------
    ValueError
        If the numbers of suspects or instruments do not match.

    Notes
    -----
    Given B, suspect A is tested within B's members and outside them, each with its own
    number of cases; what is tested is A's cases in both together (the exact form of the
    Mantel-Haenszel test). For a plank within its delivery, that asks within the
    delivery; for the delivery, it asks of its other planks. A pair is told apart if A
    is no longer over-represented given B, while B is given A.

    1. The first to lead is the one of smallest p. (Another that explains it, and is not
       explained by it, was not met in 40,000 random pairs.)
    2. The others are tested given all that lead, and adjusted by :func:`holm` among
       those left: of many pieces of one bad delivery some are always a little worse.
       What is no longer over-represented then, stands beneath the last to lead.
    3. Of what is left, the next to lead is that of smallest p given all that lead;
       until nothing is left, or eight lead: so many causes at once leave too few
       instruments alike to tell any more apart, and what is left leads as well.

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
    if members.shape != (len(p_values), len(is_case)):
        raise ValueError(
            f"members must have {len(p_values)} rows, one for each p-value, and "
            f"{len(is_case)} columns, one for each instrument, got {members.shape}"
        )
    told: list[Explained | None] = [None] * len(members)
    given = np.array(p_values, dtype=float)
    first = np.zeros(members.shape[1], dtype=int) if strata is None else strata
    strata = first
    left = np.arange(len(members))
    for _ in range(_LEADERS):
        if not left.size:
            break
        lead = left[np.argmin(given[left])]
        left = left[left != lead]
        strata = np.unique(2 * strata + members[lead], return_inverse=True)[1]
        given[left] = p_given(members[left], is_case, strata)
        adjusted = np.array(holm(given[left].tolist()))
        for one in left[adjusted > level].tolist():
            opposite = p_given(members[[lead]], is_case, 2 * first + members[one])
            apart = bool(opposite[0] <= level)
            told[one] = Explained(int(lead), float(given[one]), apart)
        left = left[adjusted <= level]
    return told


def p_given(members: Any, is_case: Any, strata: Any) -> Any:
    """Say each suspect's one-sided p, each stratum having its own number of cases.

    ``strata`` gives for each instrument the number of its stratum, from 0.
    """
    import numpy as np

    found = chances_within(members, is_case, strata)
    seen = (members & is_case).sum(axis=1)
    return found.at_least[np.arange(len(members)), seen - found.low]
