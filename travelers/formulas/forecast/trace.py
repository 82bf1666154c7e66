"""What happens when, in one future?"""

from typing import NamedTuple

from travelers.formulas.forecast.floor import floor_of
from travelers.formulas.forecast.line import Line
from travelers.formulas.forecast.simulate import lived_in

_MOST = 10_000


class Done(NamedTuple):
    """A step that was done: moments in seconds since the forecast's start.

    ``step`` counts each coat; ``station`` is None where no place was needed. The dwell
    after work without a place is an entry of its own, with no station.
    """

    job: str
    step: int
    station: str | None
    ready_s: float
    start_s: float
    end_s: float


def trace(line: Line, seed: int, future: int = 0) -> tuple[Done, ...]:
    """Write down one future, step by step.

    Parameters
    ----------
    line, seed
        As for `simulate`.
    future : int
        Its number, from 0.

    Returns
    -------
    tuple of Done
        In the order in which they began.

    Raises
    ------
    ValueError
        As `simulate`.
    """
    floor = floor_of(line)
    room = _MOST
    while True:
        world = floor.world(1, log=room)
        lived_in(world, seed, 1, future)
        noted = int(world.state["noted"][0])
        if noted <= room:
            break
        room = noted
    names = [one.name for one in line.stations]
    found = []
    for job, step, station, ready, start, end in world.log[:noted].tolist():
        place = names[station] if station >= 0 else None
        found.append(Done(line.jobs[job].name, step, place, ready, start, end))
    return tuple(found)
