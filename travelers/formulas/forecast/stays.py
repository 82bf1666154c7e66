"""Who lies where, and from when until when, in each future?"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from travelers.formulas.forecast.floor import Floor, floor_of
from travelers.formulas.forecast.line import Line
from travelers.formulas.forecast.simulate import lived_in

_FIRST_ROOM = 10_000


@dataclass(frozen=True, slots=True, repr=False, eq=False)
class Stays:
    """What lay where, and when each instrument was finished.

    Attributes
    ----------
    finishes_s : array, futures by instruments
        Seconds since the forecast's start.
    lain_s : mapping
        For each station asked for, one array a future: rows of the moments at which a
        part began there and left its place.
    """

    finishes_s: Any
    lain_s: Mapping[str, tuple[Any, ...]]


def stays(line: Line, seed: int, futures: int, stations: Sequence[str] = ()) -> Stays:
    """Live through futures and note what lay at some stations, from when until when.

    Parameters
    ----------
    line, seed, futures
        As for `simulate`; they are the same futures.
    stations : sequence of str
        Names of stations of the line.

    Returns
    -------
    Stays

    Raises
    ------
    ValueError
        As `simulate`; if a station is not one of the line.

    Examples
    --------
    >>> from travelers.formulas.forecast import Instrument, Job, Station, Step, fixed
    >>> dry = Step("room", dwell=fixed(3600))
    >>> jobs = tuple(Job(name, name, (dry,)) for name in ("a", "b"))
    >>> owners = (Instrument("a"), Instrument("b"))
    >>> room = Station("room", 1, is_holding=True)
    >>> stays(Line((room,), jobs, owners), 1, 1, ["room"]).lain_s["room"][0].tolist()
    [[0.0, 3600.0], [3600.0, 7200.0]]
    """
    import numpy as np

    if not futures >= 1:
        raise ValueError(f"futures must be at least 1, got {futures!r}")
    numbers = {one.name: number for number, one in enumerate(line.stations)}
    for name in stations:
        if name not in numbers:
            raise ValueError(f"station must be one of the line, got {name!r}")
    floor, room = floor_of(line), _FIRST_ROOM
    finishes, lain = [], []
    for future in range(futures):
        world, room = _noted(floor, seed, future, room)
        finishes.append(world.finishes[0])
        log = world.log[: int(world.state["noted"][0])]
        lain.append(
            [
                np.stack([own["start"], own["end"]], axis=1)
                for own in (log[log["station"] == numbers[name]] for name in stations)
            ]
        )
    return Stays(
        np.array(finishes),
        {name: tuple(one[n] for one in lain) for n, name in enumerate(stations)},
    )


def _noted(floor: Floor, seed: int, future: int, room: int) -> tuple[Any, int]:
    """Live through one future with a log that holds it; say how large it had to be."""
    while True:
        world = floor.world(1, log=room)
        lived_in(world, seed, 1, future)
        noted = int(world.state["noted"][0])
        if noted <= room:
            return world, room
        room = 2 * noted
