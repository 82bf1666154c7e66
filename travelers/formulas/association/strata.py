"""How many cases fall together by chance, each compared with its like alone?"""

from typing import Any

from travelers.formulas.association.exact import Chances, chances


def chances_within(members: Any, is_case: Any, strata: Any) -> Chances:
    """Say how likely each number of cases among the members is, by chance alone.

    Parameters
    ----------
    members : array of bool, suspects by instruments
        Who met each suspect.
    is_case : array of bool
        Which instruments are defective.
    strata : array of int
        For each instrument the number of its stratum, from 0.

    Returns
    -------
    Chances

    Notes
    -----
    Within each stratum the cases are drawn from all of it, so that the members among
    them follow the hypergeometric distribution; those of all strata are added up. A
    stratum without a case, or of cases alone, adds a number that is certain.

    References
    ----------
    Mantel and Haenszel (1959), Journal of the National Cancer Institute 22:719-748;
    its exact form as in Gart (1970), Biometrika 57:471-475, from memory.

    Examples
    --------
    Two pairs, one of each pair defective, and both met the suspect.

    >>> import numpy as np
    >>> met = np.array([[True, False, True, False]])
    >>> found = chances_within(met, met[0], np.array([0, 0, 1, 1]))
    >>> found.share.tolist()
    [[0.25, 0.5, 0.25]]
    """
    import numpy as np

    share, low = np.ones((len(members), 1)), np.zeros(len(members), dtype=int)
    for kind in np.unique(strata[is_case]).tolist():
        within = np.flatnonzero(strata == kind)
        marked, drawn = int(is_case[within].sum()), members[:, within].sum(axis=1)
        if marked == len(within):
            low = low + drawn
            continue
        all_of = np.full(len(members), len(within))
        found = chances(all_of, np.full(len(members), marked), drawn)
        share, low = _added(share, found.share), low + found.low
    return Chances(low, share)


def _added(one: Any, other: Any) -> Any:
    """Give the distributions of sums, row by row."""
    import numpy as np

    short, long = sorted((one, other), key=lambda each: each.shape[1])
    width = long.shape[1]
    total = np.zeros((len(long), width + short.shape[1] - 1))
    for place in range(short.shape[1]):
        total[:, place : place + width] += short[:, place, None] * long
    return total
