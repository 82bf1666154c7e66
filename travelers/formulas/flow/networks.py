"""How long does one wait at each of several stations that send to each other?"""

from collections.abc import Sequence
from typing import Any

from travelers.formulas.flow.queues import Queue, mmc

_NEAR = 1e-12


def jackson(
    arrivals: Sequence[float],
    service_rates: Sequence[float],
    servers: Sequence[int],
    routing: Sequence[Sequence[float]],
) -> tuple[Queue, ...]:
    """Reckon an open network of stations: each as if it stood alone.

    Parameters
    ----------
    arrivals : sequence of float, one for each station
        How many come from outside in a unit of time, by chance (Poisson); 0 or more.
    service_rates : sequence of float, one for each station
        How many one place does in a unit of time, work lasting exponentially.
    servers : sequence of int, one for each station
        Places, from 1.
    routing : sequence of sequences of float, stations by stations
        ``routing[a][b]``: the share of what leaves a that goes to b. What is missing
        to 1 leaves the network.

    Returns
    -------
    tuple of Queue, one for each station
        Waits are those of one visit.

    Raises
    ------
    ValueError
        If lengths differ, a share is out of its range, something that comes never
        leaves, or a station is loaded fully.

    References
    ----------
    J. R. Jackson (1957), "Networks of Waiting Lines", Operations Research 5(4):518-521
    (from memory): the traffic equations, and each station as M/M/c.

    Examples
    --------
    >>> saw, spray = jackson([1, 0], [2, 3], [1, 1], [[0, 1], [0.2, 0]])
    >>> saw.utilisation, round(spray.utilisation, 6)
    (0.625, 0.416667)
    """
    import numpy as np

    count = len(arrivals)
    shares = _shares(routing, count)
    if not len(service_rates) == len(servers) == count:
        raise ValueError(
            f"service_rates and servers must be one for each of {count} stations, got "
            f"{len(service_rates)} and {len(servers)}"
        )
    away = np.eye(count) - shares.T
    if count and np.linalg.cond(away) > 1 / _NEAR:
        raise ValueError("routing must let everything leave, got a ring without exit")
    rates = np.linalg.solve(away, np.asarray(arrivals, dtype=float))
    return tuple(
        mmc(float(rate), one, places)
        for rate, one, places in zip(rates, service_rates, servers, strict=True)
    )


def _shares(routing: Sequence[Sequence[float]], count: int) -> Any:
    import numpy as np

    shares = np.asarray(routing, dtype=float).reshape(len(routing), -1)
    if shares.shape != (count, count):
        raise ValueError(f"routing must be {count} by {count}, got {shares.shape}")
    for row in shares:
        if not ((row >= 0).all() and row.sum() <= 1 + _NEAR):
            raise ValueError(
                f"routing must have shares from 0 that add up to at most 1, got "
                f"{row.tolist()}"
            )
    return shares
