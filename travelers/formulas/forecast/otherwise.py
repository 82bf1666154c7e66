"""What would the floor be with one more place, an hour more a day, less rework?"""

from collections.abc import Callable
from dataclasses import replace

from travelers.formulas.forecast.hours import Hours
from travelers.formulas.forecast.line import Line, Station, Step

_NIGHT_S = 5 * 3600
"""A time closed for so long ends a day; a shorter one is a break."""


def with_more_places(line: Line, station: str, more: int = 1) -> Line:
    """Give the line with more places at a station.

    Parameters
    ----------
    line : Line
    station : str
        Its name.
    more : int
        How many more; below 0 fewer. One must be left.

    Returns
    -------
    Line

    Raises
    ------
    ValueError
        If there is no such station, or no place would be left.

    Examples
    --------
    >>> from travelers.formulas.forecast import Line, Station
    >>> with_more_places(Line((Station("saw", 2),), (), ()), "saw").stations[0].places
    3
    """
    return _changed(line, station, lambda one: replace(one, places=one.places + more))


def with_longer_days(line: Line, station: str, seconds: int = 3600) -> Line:
    """Give the line with a station that closes later every day that it is open.

    Parameters
    ----------
    line : Line
    station : str
        Its name.
    seconds : int
        By how much, from 0. A night is not made shorter than to nothing.

    Returns
    -------
    Line

    Raises
    ------
    ValueError
        If there is no such station, or the seconds are below 0.

    Notes
    -----
    A day ends where the station is closed for five hours or more; shorter times are
    breaks and stay.

    Examples
    --------
    >>> from travelers.formulas.forecast import Line, Station, hours
    >>> day = hours([(28800, 43200), (46800, 57600)], repeats_s=86400)
    >>> longer = with_longer_days(Line((Station("saw", 1, day),), (), ()), "saw")
    >>> longer.stations[0].hours.opens
    ((28800, 43200), (46800, 61200))
    """
    if not seconds >= 0:
        raise ValueError(f"seconds must be 0 or more, got {seconds!r}")
    return _changed(
        line, station, lambda one: replace(one, hours=_longer(one.hours, seconds))
    )


def with_less_rework(line: Line, station: str, share: float) -> Line:
    """Give the line with only a share of the rework that a station sends back.

    Parameters
    ----------
    line : Line
    station : str
        Its name.
    share : float
        From 0, none of it, to 1, all.

    Returns
    -------
    Line

    Raises
    ------
    ValueError
        If there is no such station, or the share is out of its range.

    Examples
    --------
    >>> from travelers.formulas.forecast import Instrument, Job, Line, Station, Step
    >>> step = Step("saw", rework=0.1)
    >>> job = Job("a", "a", (step,))
    >>> line = Line((Station("saw", 1),), (job,), (Instrument("a"),))
    >>> with_less_rework(line, "saw", 0.5).jobs[0].steps[0].rework
    0.05
    """
    if not 0 <= share <= 1:
        raise ValueError(f"share must be from 0 to 1, got {share!r}")
    _check(line, station)
    # Jobs that share their steps go on sharing them: they are laid down once.
    made: dict[tuple[Step, ...], tuple[Step, ...]] = {}
    for job in line.jobs:
        if job.steps not in made:
            made[job.steps] = tuple(
                replace(step, rework=step.rework * share)
                if step.station == station
                else step
                for step in job.steps
            )
    jobs = tuple(replace(job, steps=made[job.steps]) for job in line.jobs)
    return replace(line, jobs=jobs)


def _changed(line: Line, station: str, change: Callable[[Station], Station]) -> Line:
    _check(line, station)
    stations = tuple(
        change(one) if one.name == station else one for one in line.stations
    )
    return replace(line, stations=stations)


def _check(line: Line, station: str) -> None:
    if station not in {one.name for one in line.stations}:
        raise ValueError(f"station must be one of the line, got {station!r}")


def _longer(at: Hours, seconds: int) -> Hours:
    """Close later at the end of each day; what comes next is told by what repeats."""
    turn = at.ends_s - at.repeats_s
    after = [start for start, _ in at.opens][1:]
    again = next(max(start, turn) for start, until in at.opens if until > turn)
    after.append(again + at.repeats_s)
    found: list[tuple[int, int]] = []
    for (start, until), begins in zip(at.opens, after, strict=True):
        if begins - until >= _NIGHT_S:
            until = min(until + seconds, begins, at.ends_s)
        if found and found[-1][1] == start:
            found[-1] = (found[-1][0], until)
        else:
            found.append((start, until))
    return Hours(tuple(found), at.ends_s, at.repeats_s)
