"""On which day is what started, so that neither floor nor rooms hold too much?"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

DAY_S = 86_400


@dataclass(frozen=True, slots=True, repr=False, eq=False)
class Limit:
    """How much may be somewhere at once.

    Attributes
    ----------
    name : str
    most : int
        From 0.
    taken : array, futures by days
        How much is there already on each day, from today on.
    """

    name: str
    most: int
    taken: Any


@dataclass(frozen=True, slots=True, repr=False, eq=False)
class Wanted:
    """What waits for its start.

    Attributes
    ----------
    name : str
    latest : int
        The day, from today as 0, on which it must start to be in time; below 0 it is
        late even if it starts today.
    uses : mapping
        For a limit's name how much of it is taken on each day from the start on, an
        array of futures by days.
    """

    name: str
    latest: int
    uses: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Start:
    """When something starts.

    Attributes
    ----------
    day : int or None
        From today as 0; None where it never fits.
    held_by : str
        The limit that kept it from the day on which it would have started; empty if
        none did.
    """

    day: int | None
    held_by: str = ""


def there_by_day(spans_s: Any, days: int, *, offset_s: float = 0.0) -> Any:
    """Count how many are there on each day, also for a part of it.

    Parameters
    ----------
    spans_s : array, rows of two
        From when until when each is there, in seconds from now on.
    days : int
        For how many days, from today on.
    offset_s : float
        How many seconds of today have passed.

    Returns
    -------
    array
        Whole numbers, one a day.

    Examples
    --------
    >>> import numpy as np
    >>> there_by_day(np.array([[0, 90_000], [90_000, 100_000]]), 3).tolist()
    [1, 2, 0]
    """
    import numpy as np

    if len(spans_s) == 0:
        return np.zeros(days, np.int32)
    ends = np.clip((spans_s + offset_s) // DAY_S, 0, days).astype(np.int64)
    came = np.bincount(ends[:, 0], minlength=days + 2)
    went = np.bincount(ends[:, 1] + 1, minlength=days + 2)
    return np.cumsum(came - went[: len(came)])[:days].astype(np.int32)


def starts(
    wanted: Sequence[Wanted],
    limits: Sequence[Limit],
    *,
    certainty: float,
    open_days: Sequence[bool],
) -> dict[str, Start]:
    """Find a day for each: the latest that is in time and finds room, else the next.

    1. What must start first is given its day first; of equals the one named first.
    2. From its latest day back to today the first open day is taken on which, over its
       whole stay, no limit is passed in more futures than the certainty leaves.
    3. Where there is none, the first such day after its latest one: it is late.
    4. What it takes is counted for those that come after it.

    Parameters
    ----------
    wanted, limits : sequences
    certainty : float
        In which share of futures a limit holds on each day, from above 0 to 1.
    open_days : sequence of bool
        On which days, from today on, something can be started; so far is looked.

    Returns
    -------
    dict
        For each name its `Start`.

    Raises
    ------
    ValueError
        If the certainty is out of its range.

    Notes
    -----
    A day on which others pass a limit by themselves is full: nothing more lies there.

    References
    ----------
    Serial schedule generation with latest start as priority, as in R. Kolisch (1996),
    "Serial and parallel resource-constrained project scheduling methods revisited",
    European Journal of Operational Research 90:320-333 (from memory); here each is
    put as late as it may be.

    Examples
    --------
    >>> import numpy as np
    >>> floor = Limit("floor", 1, np.zeros((1, 9), int))
    >>> two = [Wanted(name, 5, {"floor": np.ones((1, 3), int)}) for name in "ab"]
    >>> found = starts(two, [floor], certainty=0.8, open_days=[True] * 9)
    >>> found["a"].day, found["b"].day, found["b"].held_by
    (5, 2, 'floor')
    """
    if not 0 < certainty <= 1:
        raise ValueError(f"certainty must be above 0 and up to 1, got {certainty!r}")
    rooms = [
        _Room(one.name, one.most, one.taken.copy(), 1 - certainty) for one in limits
    ]
    opened = [day for day, is_open in enumerate(open_days) if is_open]
    found: dict[str, Start] = {}
    for one in sorted(wanted, key=lambda one: one.latest):
        before = [day for day in reversed(opened) if day <= one.latest]
        after = [day for day in opened if day > one.latest]
        held_by, chosen = "", None
        for day in (*before, *after):
            full = next((room for room in rooms if not room.takes(one, day)), None)
            if full is None:
                chosen = day
                break
            held_by = held_by or full.name
        if chosen is not None:
            for room in rooms:
                room.take(one, chosen)
        found[one.name] = Start(chosen, held_by)
    return {one.name: found[one.name] for one in wanted}


def filled(
    limits: Sequence[Limit], taken: Sequence[tuple[Mapping[str, Any], int]]
) -> tuple[Limit, ...]:
    """Give limits under which some things have their days already.

    Parameters
    ----------
    limits : sequence of Limit
    taken : sequence of pairs
        What each takes, as in `Wanted`, and the day on which it starts.

    Returns
    -------
    tuple of Limit

    Examples
    --------
    >>> import numpy as np
    >>> floor = Limit("floor", 5, np.zeros((1, 4), int))
    >>> filled([floor], [({"floor": np.array([[2, 1]])}, 1)])[0].taken.tolist()
    [[0, 2, 1, 0]]
    """
    found = []
    for one in limits:
        room = _Room(one.name, one.most, one.taken.copy(), 0.0)
        for uses, day in taken:
            room.take(Wanted("", day, uses), day)
        found.append(Limit(one.name, one.most, room.taken))
    return tuple(found)


@dataclass(slots=True)
class _Room:
    """A limit with what was given a place under it so far."""

    name: str
    most: int
    taken: Any
    share: float

    def takes(self, one: Wanted, day: int) -> bool:
        """Say whether it finds room from a day on, in as many futures as asked for."""
        use = one.uses.get(self.name)
        if use is None:
            return True
        stays = use[:, : self.taken.shape[1] - day]
        there = self.taken[:, day : day + stays.shape[1]] + stays
        over = (there > self.most).mean(axis=0)
        return bool((over[stays.any(axis=0)] <= self.share + 1e-9).all())

    def take(self, one: Wanted, day: int) -> None:
        use = one.uses.get(self.name)
        if use is not None:
            stays = use[:, : self.taken.shape[1] - day]
            self.taken[:, day : day + stays.shape[1]] += stays
