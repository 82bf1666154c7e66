"""How likely is it that so many cases fall together by chance alone?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

Side = Literal["greater", "less", "two-sided"]
_SIDES = ("greater", "less", "two-sided")
# Tables of equal probability differ in their last digits; nothing else is so near.
_SAME = 1 + 1e-10
_CELLS_AT_ONCE = 2_000_000


@dataclass(frozen=True, slots=True)
class Chances:
    """Probabilities of each number that may be drawn; one row for each table.

    Column j of a row stands for ``low + j``; beyond the highest number that can be, a
    row holds zeros.
    """

    low: Any
    share: Any

    @property
    def at_least(self) -> Any:
        """Say for each number how likely it is to draw so many or more."""
        import numpy as np

        return np.minimum(self.share[:, ::-1].cumsum(axis=1)[:, ::-1], 1.0)


def chances(total: Any, marked: Any, drawn: Any) -> Chances:
    """Give the hypergeometric distributions of many draws at once.

    Parameters
    ----------
    total, marked, drawn : arrays of int of one length
        How many there are, how many of them are marked, and how many are drawn.

    Returns
    -------
    Chances

    Notes
    -----
    The ratio of neighbouring probabilities is a ratio of whole numbers. From the
    likeliest number outwards their products fall from 1, so nothing overflows and each
    keeps all its digits; their sum then makes them probabilities. Differences of
    log-factorials (``gammaln``) would lose four digits with 2,000 instruments, since
    they are small differences of numbers near 13,000.

    References
    ----------
    Fisher (1935), The Logic of Inductive Inference, Journal of the Royal Statistical
    Society 98:39-82, for the distribution; from memory.

    Examples
    --------
    >>> import numpy as np
    >>> tea = chances(np.array([8]), np.array([4]), np.array([4]))
    >>> [round(one * 70) for one in tea.share[0].tolist()]
    [1, 16, 36, 16, 1]
    """
    import numpy as np

    low, ratio = ratios(total, marked, drawn)
    rising = ratio > 1
    one = np.ones((len(low), 1))
    fall = np.cumprod(np.where(rising, 1.0, ratio), axis=1)
    back = 1 / np.where(rising, ratio, 1.0)
    climb = np.cumprod(back[:, ::-1], axis=1)[:, ::-1]
    share = np.concatenate([one, fall], axis=1) * np.concatenate([climb, one], axis=1)
    return Chances(low, share / share.sum(axis=1, keepdims=True))


def ratios(total: Any, marked: Any, drawn: Any) -> tuple[Any, Any]:
    """Give each lowest number, and how many times likelier each next one is."""
    import numpy as np

    total, marked, drawn = (
        np.asarray(one, dtype=float) for one in (total, marked, drawn)
    )
    low = np.maximum(0.0, drawn + marked - total)
    high = np.minimum(drawn, marked)
    width = int((high - low).max(initial=0))
    before = low[:, None] + np.arange(width)
    left = total - marked - drawn
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = (marked[:, None] - before) * (drawn[:, None] - before)
        ratio = ratio / ((before + 1) * (left[:, None] + before + 1))
    return low.astype(int), np.where(before < high[:, None], ratio, 0.0)


def fisher_exact(
    a: Sequence[int],
    b: Sequence[int],
    c: Sequence[int],
    d: Sequence[int],
    *,
    side: Side = "two-sided",
) -> list[float]:
    """Test many two by two tables for association, exactly.

    Parameters
    ----------
    a, b : sequence of int, one for each table
        Cases and others inside the group.
    c, d : sequence of int, one for each table
        Cases and others outside it.
    side : {"two-sided", "greater", "less"}
        ``greater`` asks whether cases are too many inside, ``less`` too few.

    Returns
    -------
    list of float
        The probability, by chance alone and with all four margins as they are, of what
        was seen or of what is more extreme.

    Raises
    ------
    ValueError
        If there is not one count of each sort for each table, a count is not a whole
        number from 0, or the side is none of the three.

    Notes
    -----
    Two-sided means the sum over all tables that are not likelier than the one seen.

    References
    ----------
    Fisher (1935), as for :func:`chances`; the tea-tasting table is from his The Design
    of Experiments, from memory.

    Examples
    --------
    Three of four cups told right, then all four.

    >>> [round(p, 6) for p in fisher_exact([3, 4], [1, 0], [1, 0], [3, 4])]
    [0.485714, 0.028571]
    >>> round(fisher_exact([4], [0], [0], [4], side="greater")[0] * 70)
    1
    """
    import numpy as np

    if side not in _SIDES:
        raise ValueError(f"side must be one of {', '.join(_SIDES)}, got {side!r}")
    tables = counted(a, b, c, d)
    told = np.ones(len(tables))
    widest = int(tables.sum(axis=1).max(initial=0)) + 1
    step = max(1, _CELLS_AT_ONCE // widest)
    for start in range(0, len(tables), step):
        told[start : start + step] = _tails(tables[start : start + step], side)
    return [float(one) for one in told]


def _tails(tables: Any, side: Side) -> Any:
    import numpy as np

    a, b, c, d = tables.T
    if side == "less":
        a, b, c, d = b, a, d, c
    found = chances(a + b + c + d, a + c, a + b)
    rows, place = np.arange(len(a)), a - found.low
    if side != "two-sided":
        return found.at_least[rows, place]
    seen = found.share[rows, place][:, None]
    among = np.where(found.share <= seen * _SAME, found.share, 0.0)
    return np.minimum(np.sort(among, axis=1).sum(axis=1), 1.0)


def counted(
    a: Sequence[int], b: Sequence[int], c: Sequence[int], d: Sequence[int]
) -> Any:
    """Put the counts of tables side by side, one row for each; refuse what is none."""
    import numpy as np

    columns = []
    for name, counts in zip("abcd", (a, b, c, d), strict=True):
        column = np.asarray(counts)
        if column.shape != (len(a),):
            raise ValueError(
                f"{name} must be one count for each of {len(a)} tables, got {counts!r}"
            )
        whole = column.astype(int) if column.size else column.astype(float).astype(int)
        if (whole != column).any() or (whole < 0).any():
            raise ValueError(f"{name} must be whole numbers from 0, got {counts!r}")
        columns.append(whole)
    return np.stack(columns, axis=1)
