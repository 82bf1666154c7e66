"""How does a line lie in memory, for the kernel?"""

from typing import Any, NamedTuple

_I, _U, _F, _K = "i4", "u4", "f8", "u8"
"""Counts, and places that may be none; places in arrays, which without a sign spare a
look from the array's end; seconds and shares; hashes."""

# Of jobs and stations, what stays as it is and what a future changes lie apart.
JOBS = {
    "key": _K,
    "route": _U,
    "visits": _U,
    "count": _I,
    "done": _I,
    "at": _I,
    "afresh": _I,
    "instrument": _U,
    "needs": _I,
    "after": _U,
    "afters": _I,
    "mate": _U,
    "mates": _I,
    "made_of": _U,
    "makers": _I,
    "spent": _F,
    "past": _F,
    "release": _F,
    "rank": _F,
    "due": _F,
}
NOW = {
    "step": _U,
    "phase": _I,
    "turns": _I,
    "missing": _I,
    "is_in": _I,
    "work": _F,
    "since": _F,
    "entered": _F,
    "ended": _F,
}
ROWS = {
    "station": _I,
    "work_table": _I,
    "dwell_table": _I,
    "before_table": _I,
    "back": _I,
    "work": _F,
    "dwell": _F,
    "before": _F,
    "scrap": _F,
    "fails": _F,
    "left": _F,
}
STATIONS = {
    "places": _I,
    "is_holding": _I,
    "always": _I,
    "days": _U,
    "stop": _I,
    "again": _I,
    "ends": _F,
    "repeats": _F,
}
SPOTS = {
    "first": _U,
    "busy": _I,
    "waiting": _I,
    "wakes": _I,
    "starts": _I,
    "busy_s": _F,
    "waited_s": _F,
    "aged_s2": _F,
}
TOLD = {"starts": _I, "busy_s": _F, "waited_s": _F, "aged_s2": _F}
TABLES = {"first": _U, "count": _I, "tails": _I}
CELLS = {"low": _F, "width": _F}
SPANS = {"start": _F, "until": _F}
LINES = {"key": _F, "came": _I, "job": _U}
LOG = {"job": _U, "step": _U, "station": _I, "ready": _F, "start": _F, "end": _F}
STATE = {
    "clock": _F,
    "seen": _F,
    "area": _F,
    "stayed": _F,
    "over": _I,
    "came": _I,
    "inside": _I,
    "noted": _I,
    "to_serve": _I,
    "todo_first": _I,
    "todo_last": _I,
    "by_slack": _I,
    "most_turns": _I,
}


class World(NamedTuple):
    """All that the kernel reads and writes; records of the tables above, or numbers."""

    jobs: Any
    rows: Any
    stations: Any
    tables: Any
    cells: Any
    spans: Any
    days: Any
    afters: Any
    mates: Any
    makers: Any
    now: Any
    spots: Any
    state: Any
    future: Any
    keys: Any
    firsts: Any
    todo: Any
    lines: Any
    visits: Any
    chain: Any
    base: Any
    log: Any
    finishes: Any
    last: Any
    limits: Any
    told: Any
    little: Any
    busy: Any
    queue: Any
    paths: Any
    parts: Any


def records(fields: dict[str, str], given: list[tuple[Any, ...]] | int) -> Any:
    """Lay out records: of rows in the order of the fields, or so many of zeros."""
    import numpy as np

    kind = np.dtype(list(fields.items()))
    if isinstance(given, int):
        return np.zeros(given, kind).view(np.recarray)
    return np.array(given, kind).view(np.recarray)


def numbers(given: list[int]) -> Any:
    """Lay out whole numbers; one at least, so that there is always an array."""
    import numpy as np

    return np.array(given or [0], np.uint32)
