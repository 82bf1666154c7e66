"""What will become of the floor?"""

from collections.abc import Iterator

from travelers.formulas.forecast.floor import Floor, floor_of
from travelers.formulas.forecast.futures import Futures, joined, of_world
from travelers.formulas.forecast.line import Line
from travelers.formulas.forecast.world import World

_SEEDS = 2**63
_SLICE = 50


def simulate(line: Line, seed: int, futures: int, *, first: int = 0) -> Futures:
    """Live through futures of a floor, as it stands now.

    Parameters
    ----------
    line : Line
    seed : int
        From 0 to below 2⁶³: the same seed gives the same futures.
    futures : int
        How many, from 1.
    first : int
        The number of the first one, from 0. Each future is drawn by its own number, so
        that the futures 0 to 99 are the same, asked for at once or in pieces.

    Returns
    -------
    Futures

    Raises
    ------
    ValueError
        If a number is out of its range, or the line does not hold together: see
        `floor_of`.

    Notes
    -----
    A simulation of discrete events. Each time and each chance of a job's step is drawn
    by a hash of seed, future, job, step, what it is for, and how often the job was
    there: common random numbers for lines that differ (see `compare`).

    References
    ----------
    A. M. Law, Simulation Modeling and Analysis, on event lists and on common random
    numbers (from memory); J. K. Salmon and others (2011), "Parallel random numbers: as
    easy as 1, 2, 3", on drawing by counters (from memory).

    Examples
    --------
    >>> from travelers.formulas.forecast import Instrument, Job, Station, Step, fixed
    >>> glue = Step("bench", work=fixed(600), dwell=fixed(3600))
    >>> jobs = tuple(Job(name, name, (glue,)) for name in ("a", "b"))
    >>> owners = (Instrument("a"), Instrument("b"))
    >>> found = simulate(Line((Station("bench", 1),), jobs, owners), 1, 1)
    >>> found.finishes_s.tolist()
    [[4200.0, 4800.0]]
    """
    return _lived(floor_of(line), seed, futures, first)


def in_slices(
    line: Line, seed: int, futures: int, *, size: int = _SLICE
) -> Iterator[Futures]:
    """Live through futures piece by piece: a first answer soon, then better ones.

    Parameters
    ----------
    line, seed, futures
        As for :func:`simulate`.
    size : int
        How many futures a piece holds, from 1.

    Yields
    ------
    Futures
        All that have been lived through so far; the last is what :func:`simulate`
        gives.

    Raises
    ------
    ValueError
        As :func:`simulate`.
    """
    if not size >= 1:
        raise ValueError(f"size must be at least 1, got {size!r}")
    floor = floor_of(line)
    so_far: Futures | None = None
    for first in range(0, futures, size):
        some = _lived(floor, seed, min(size, futures - first), first)
        so_far = joined(so_far, some) if so_far else some
        yield so_far


def _lived(floor: Floor, seed: int, futures: int, first: int) -> Futures:
    world = floor.world(futures)
    return of_world(floor.line, world, lived_in(world, seed, futures, first))


def lived_in(world: World, seed: int, futures: int, first: int) -> int:
    """Run the compiled kernel over a world; give how many events there were."""
    import numpy as np

    from travelers.formulas.forecast.compiled import live

    if not 0 <= seed < _SEEDS:
        raise ValueError(f"seed must be from 0 to below 2**63, got {seed!r}")
    if not futures >= 1:
        raise ValueError(f"futures must be at least 1, got {futures!r}")
    if not first >= 0:
        raise ValueError(f"first must be 0 or more, got {first!r}")
    return live(world, np.uint64(seed), first, futures)
