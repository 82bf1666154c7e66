"""How long does one wait at a station that is loaded so much?"""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Queue:
    """A station in the long run; times in the unit that the rates were given in.

    Attributes
    ----------
    utilisation : float
        Share of the time that a place is at work, from 0 to below 1.
    wait_probability : float
        Share of those that come who must wait.
    queue_length, number_in_system : float
        How many wait, and how many wait or are worked on, on average over time.
    queue_wait, time_in_system : float
        How long one waits, and how long one is there, on average over all that come.
    """

    utilisation: float
    wait_probability: float
    queue_length: float
    number_in_system: float
    queue_wait: float
    time_in_system: float


def mmc(arrival_rate: float, service_rate: float, servers: int) -> Queue:
    """Reckon a station with several places, by Erlang's formula C.

    Parameters
    ----------
    arrival_rate : float
        How many come in a unit of time, by chance (Poisson); 0 or more.
    service_rate : float
        How many one place does in a unit of time, work lasting exponentially.
    servers : int
        How many places there are, from 1.

    Returns
    -------
    Queue

    Raises
    ------
    ValueError
        If a number is out of its range, or as many come as can be done, or more.

    References
    ----------
    A. K. Erlang (1917); in F. S. Hillier, G. J. Lieberman, Introduction to Operations
    Research, "The M/M/s model" (from memory). Erlang's B by its recursion, which loses
    no digits for many places, and C from B.

    Examples
    --------
    >>> two = mmc(2, 3, 2)
    >>> round(two.wait_probability, 6), round(two.queue_wait, 6)
    (0.166667, 0.041667)
    """
    if not (servers >= 1 and servers == int(servers)):
        raise ValueError(f"servers must be a whole number from 1, got {servers!r}")
    load = _load(arrival_rate, service_rate, servers)
    lost = 1.0
    for number in range(1, servers + 1):
        lost = load * lost / (number + load * lost)
    share = load / servers
    waits = lost / (1 - share * (1 - lost))
    return _queue(
        arrival_rate, service_rate, share, waits, waits / (servers * (1 - share))
    )


def mm1(arrival_rate: float, service_rate: float) -> Queue:
    """Reckon a station with one place whose work lasts exponentially.

    Parameters
    ----------
    arrival_rate, service_rate : float
        As for :func:`mmc`.

    Returns
    -------
    Queue

    Raises
    ------
    ValueError
        As :func:`mmc`.

    References
    ----------
    As for :func:`mmc`.

    Examples
    --------
    >>> round(mm1(4, 5).time_in_system, 9)
    1.0
    """
    share = _load(arrival_rate, service_rate, 1)
    return _queue(arrival_rate, service_rate, share, share, share / (1 - share))


def md1(arrival_rate: float, service_rate: float) -> Queue:
    """Reckon a station with one place whose work always lasts the same.

    Parameters
    ----------
    arrival_rate, service_rate : float
        As for :func:`mmc`; each work lasts ``1 / service_rate``.

    Returns
    -------
    Queue

    Raises
    ------
    ValueError
        As :func:`mmc`.

    References
    ----------
    F. Pollaczek (1930), A. Y. Khinchine (1932): the mean wait of M/G/1; half of what
    exponential work gives (from memory).

    Examples
    --------
    >>> md1(3, 4).queue_length
    1.125
    """
    share = _load(arrival_rate, service_rate, 1)
    return _queue(arrival_rate, service_rate, share, share, share / (1 - share) / 2)


def kingman(
    utilisation: float,
    work_time: float,
    *,
    arrival_cv: float = 1.0,
    work_cv: float = 1.0,
    servers: int = 1,
) -> float:
    """Reckon roughly how long one waits, whatever the chances are like.

    Parameters
    ----------
    utilisation : float
        Share of the time that a place is at work, from 0 to below 1.
    work_time : float
        How long one work lasts on average, in any unit; 0 or more.
    arrival_cv, work_cv : float
        Standard deviation over mean, of the time between two that come and of the
        work; 0 or more.
    servers : int
        How many places there are, from 1.

    Returns
    -------
    float
        The mean wait, in the unit of ``work_time``.

    Raises
    ------
    ValueError
        If a number is out of its range.

    Notes
    -----
    An approximation, good at high load: exact for one place with Poisson arrivals, 18 %
    too high for D/M/1 at a load of 0.8.

    References
    ----------
    J. F. C. Kingman (1961), "The single server queue in heavy traffic"; for several
    places H. Sakasegawa (1977), as in W. J. Hopp, M. L. Spearman, Factory Physics
    (all from memory).

    Examples
    --------
    >>> round(kingman(0.8, 1.0, work_cv=0.5), 6)
    2.5
    """
    if not 0 <= utilisation < 1:
        raise ValueError(f"utilisation must be from 0 to below 1, got {utilisation!r}")
    if not (servers >= 1 and servers == int(servers)):
        raise ValueError(f"servers must be a whole number from 1, got {servers!r}")
    given = (("work_time", work_time), ("arrival_cv", arrival_cv), ("work_cv", work_cv))
    for name, value in given:
        if not (value >= 0 and math.isfinite(value)):
            raise ValueError(f"{name} must be finite and 0 or more, got {value!r}")
    variability = (arrival_cv**2 + work_cv**2) / 2
    crowding = utilisation ** (math.sqrt(2 * (servers + 1)) - 1)
    return float(variability * crowding / (servers * (1 - utilisation)) * work_time)


def _load(arrival_rate: float, service_rate: float, servers: int) -> float:
    """Check the rates; give how many places they keep at work."""
    if not (arrival_rate >= 0 and math.isfinite(arrival_rate)):
        raise ValueError(
            f"arrival_rate must be finite and 0 or more, got {arrival_rate!r}"
        )
    if not (service_rate > 0 and math.isfinite(service_rate)):
        raise ValueError(
            f"service_rate must be finite and above 0, got {service_rate!r}"
        )
    if arrival_rate >= servers * service_rate:
        raise ValueError(
            f"arrival_rate must be below {servers * service_rate!r}, "
            f"all that can be done, got {arrival_rate!r}"
        )
    return arrival_rate / service_rate


def _queue(
    arrival_rate: float, service_rate: float, share: float, waits: float, wait: float
) -> Queue:
    """Fill in what follows from the wait, which comes in times of one work."""
    wait /= service_rate
    there = wait + 1 / service_rate
    return Queue(
        utilisation=float(share),
        wait_probability=float(waits),
        queue_length=arrival_rate * wait,
        number_in_system=arrival_rate * there,
        queue_wait=wait,
        time_in_system=there,
    )
