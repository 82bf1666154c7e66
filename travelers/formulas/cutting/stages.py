"""Which sections, cut one after another and then each cut across, are worth most?"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

# Counts of pieces that are looked at, times the sections tried on each: a tenth of a
# second on an office computer.
MOST_WAYS = 30_000_000
MOST_PATTERNS = 2_000


class TooManyWays(ValueError):
    """The question is too wide to be answered at once and exactly."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of piece; its sizes are whole numbers of one unit.

    ``along`` lies the way the sections follow one another, ``across`` the other way.
    ``pieces`` make a set, at most ``most`` sets count, each is worth ``worth``.
    """

    along: int
    across: int
    pieces: int
    most: int
    worth: int


@dataclass(frozen=True, slots=True)
class Found:
    """Sets of each kind, what they are worth, and the sections that give them.

    A section is its size along and how many pieces of each kind lie side by side in it.
    """

    sets: tuple[int, ...]
    worth: int
    sections: tuple[tuple[int, tuple[int, ...]], ...]


@dataclass(frozen=True, slots=True)
class _Pattern:
    along: int
    counts: tuple[int, ...]


def best_stages(along: int, across: int, kinds: Sequence[Kind], kerf: int) -> Found:
    """Find the sets that are worth most of all that two stages of cuts can give.

    Parameters
    ----------
    along, across : int
        The room: sections follow one another along, pieces lie side by side across.
    kinds : sequence of Kind
        What may be cut; no piece is turned.
    kerf : int
        What a cut takes, 0 or more, in the same unit.

    Returns
    -------
    Found
        Of all that are worth the same, one that takes the least of the way along.

    Raises
    ------
    TooManyWays
        If there are more ways than are looked at at once.

    Notes
    -----
    Complete by three steps, none of which drops a better answer. (1) A section is
    as long as its longest piece, so only lengths of kinds need be tried, and a
    section with room for another wanted piece is never better than the one that
    holds it: only full sections are listed, and of two the one that gives no more
    and is no shorter goes. (2) For every count of pieces up to those wanted, the
    least way along that gives at least so many is a shortest path: ``least(x) = min
    over sections s of length(s) + least(x - s)``, with counts below 0 taken as 0.
    Sections are taken in turn, each once more, twice more, four times more and so
    on until nothing changes, which covers every collection of them, since their
    order does not matter. (3) Each count of whole sets is looked up and the best
    that fits is taken.

    References
    ----------
    Gilmore and Gomory, "Multistage cutting stock problems of two and more dimensions",
    Operations Research 13 (1965) 94-120: the two stages; the recursion over counts is a
    dynamic programme in the sense of Bellman.

    Examples
    --------
    Two sections of 4 and one of 3 from 11, each 10 across.

    >>> found = best_stages(11, 10, [Kind(4, 5, 2, 9, 8), Kind(3, 9, 1, 9, 5)], 0)
    >>> found.sets, found.worth
    ((2, 1), 21)
    """
    most = [_most_pieces(kind, along, across, kerf) for kind in kinds]
    patterns = _patterns(across, kinds, most, kerf)
    _must_not_be_too_many(most, patterns, along)
    least, how = _least_along(along + kerf, patterns, most, kerf)
    sets, worth = _best(least, kinds, most, along + kerf)
    counts = [number * kind.pieces for number, kind in zip(sets, kinds, strict=True)]
    return Found(sets, worth, tuple(_sections(counts, how, patterns)))


def _most_pieces(kind: Kind, along: int, across: int, kerf: int) -> int:
    """Say how many pieces of a kind can count: whole sets that would fit alone."""
    rows = max(0, (along + kerf) // (kind.along + kerf))
    columns = max(0, (across + kerf) // (kind.across + kerf))
    return kind.pieces * min(kind.most, rows * columns // kind.pieces)


def _patterns(
    across: int, kinds: Sequence[Kind], most: Sequence[int], kerf: int
) -> list[_Pattern]:
    """List full sections; one that gives no more and is no shorter is left out."""
    import numpy as np

    kept = np.zeros((MOST_PATTERNS + 1, len(kinds)), dtype=np.int32)
    found: list[_Pattern] = []
    for along in sorted({k.along for k, n in zip(kinds, most, strict=True) if n}):
        sizes = [
            (kind.across + kerf, n if kind.along <= along else 0)
            for kind, n in zip(kinds, most, strict=True)
        ]
        for counts in _full(sizes, across + kerf):
            if (kept[: len(found)] >= counts).all(axis=1).any():
                continue
            if len(found) == MOST_PATTERNS:
                raise TooManyWays(
                    f"there must be at most {MOST_PATTERNS} sections to try:"
                    " ask for fewer kinds"
                )
            kept[len(found)] = counts
            found.append(_Pattern(along, counts))
    return found


def _full(sizes: Sequence[tuple[int, int]], room: int) -> Iterator[tuple[int, ...]]:
    """Give each way to fill a room to which no further piece can be added."""
    if not sizes:
        yield ()
        return
    (size, most), rest = sizes[0], sizes[1:]
    for number in range(min(most, room // size), -1, -1):
        left = room - number * size
        for others in _full(rest, left):
            taken = sum(n * s for n, (s, _m) in zip(others, rest, strict=True))
            if number == most or left - taken < size:
                yield (number, *others)


def _must_not_be_too_many(
    most: Sequence[int], patterns: Sequence[_Pattern], along: int
) -> None:
    ways = sum((along // pattern.along).bit_length() for pattern in patterns)
    for number in most:
        ways *= number + 1
    if ways > MOST_WAYS:
        raise TooManyWays(
            f"there must be at most {MOST_WAYS} ways to look at, got {ways}:"
            " ask for fewer kinds or fewer sets"
        )


def _least_along(
    room: int, patterns: Sequence[_Pattern], most: Sequence[int], kerf: int
) -> tuple[Any, Any]:
    """Say for each count of pieces the least way along, and the last section of it."""
    import numpy as np

    shape = tuple(number + 1 for number in most)
    least = np.full(shape, room + 1, dtype=np.int32)
    least[(0,) * len(shape)] = 0
    how = np.full(shape, -1, dtype=np.int16)
    for place, pattern in enumerate(patterns):
        times, size = 1, pattern.along + kerf
        while times * size <= room:
            tried = _without(least, pattern.counts, times) + times * size
            better = tried < least
            if not better.any():
                break
            np.copyto(least, tried, where=better)
            how[better] = place
            times *= 2
    return least, how


def _without(table: Any, counts: Sequence[int], times: int) -> Any:
    """Give at each count of pieces what stands at that count without some sections."""
    import numpy as np

    for axis, number in enumerate(counts):
        if number:
            less = np.maximum(np.arange(table.shape[axis]) - times * number, 0)
            table = table.take(less, axis=axis)
    return table


def _best(
    least: Any, kinds: Sequence[Kind], most: Sequence[int], room: int
) -> tuple[tuple[int, ...], int]:
    """Choose the whole sets that fit and are worth most, then take the least."""
    import numpy as np

    whole = least[tuple(slice(None, None, kind.pieces) for kind in kinds)]
    worth = np.zeros(whole.shape, dtype=np.int64)
    for axis, kind in enumerate(kinds):
        shape = [1] * whole.ndim
        shape[axis] = -1
        worth += (np.arange(whole.shape[axis]) * kind.worth).reshape(shape)
    worth[whole > room] = -1
    best = worth == worth.max()
    place = np.where(best, whole, room + 1).argmin()
    sets = tuple(int(n) for n in np.unravel_index(place, whole.shape))
    return sets, int(worth.max())


def _sections(
    counts: list[int], how: Any, patterns: Sequence[_Pattern]
) -> Iterator[tuple[int, tuple[int, ...]]]:
    """Walk back from the counts; what a full section gives too much is left out."""
    while any(counts):
        pattern = patterns[int(how[tuple(counts)])]
        given = tuple(map(min, counts, pattern.counts))
        yield pattern.along, given
        counts = [had - n for had, n in zip(counts, given, strict=True)]
