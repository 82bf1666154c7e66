"""How is a line made ready for the kernel?"""

from dataclasses import dataclass
from hashlib import blake2b
from itertools import chain
from typing import Any

from travelers.formulas.forecast.kernel.knockout import NEVER
from travelers.formulas.forecast.kernel.places import SORTS
from travelers.formulas.forecast.line import At, Job, Line, Rule
from travelers.formulas.forecast.routes import Route, Routes, Spans
from travelers.formulas.forecast.world import (
    CELLS,
    JOBS,
    LINES,
    LOG,
    NOW,
    ROWS,
    SPANS,
    SPOTS,
    STATE,
    STATIONS,
    TABLES,
    TOLD,
    World,
    numbers,
    records,
)
from travelers.formulas.graph import order

_FAR = 1e11
"""Seconds: later than any due day, so that what has none comes after all others."""

_RANK = 1e12
"""Seconds: what one rank weighs, more than any moment."""


@dataclass(frozen=True, slots=True)
class Floor:
    """A line made ready: what stays the same in all futures."""

    line: Line
    fixed: dict[str, Any]
    waiting_first: tuple[int, ...]
    waiting_count: int
    visits: int

    def world(self, futures: int, log: int = 0) -> World:
        """Lay out all that the kernel needs for so many futures."""
        import numpy as np

        line = self.line
        jobs, stations = len(line.jobs), len(line.stations)
        instruments, weeks = len(line.instruments), line.weeks
        spots = records(SPOTS, stations)
        spots["first"] = self.waiting_first
        state = records(STATE, 1)
        state["by_slack"] = line.rule is Rule.LEAST_SLACK
        state["most_turns"] = line.most_turns
        players = 1 << (jobs + stations - 1).bit_length()
        return World(
            **self.fixed,
            now=records(NOW, jobs),
            spots=spots,
            state=state,
            future=np.zeros(1, np.uint64),
            keys=np.full(2 * players, NEVER),
            firsts=np.zeros(2 * players, np.int32),
            todo=np.zeros(jobs + 1, np.uint32),
            lines=records(LINES, self.waiting_count + 1),
            visits=np.zeros(self.visits, np.uint8),
            chain=np.zeros((jobs, SORTS + stations)),
            base=np.zeros((jobs, SORTS)),
            log=records(LOG, log),
            finishes=np.full((futures, instruments), -1.0),
            last=np.zeros(instruments, np.uint32),
            limits=np.zeros((futures, stations)),
            told=records(TOLD, futures * stations).reshape(futures, stations),
            little=np.zeros((futures, 2)),
            busy=np.zeros((stations, weeks)),
            queue=np.zeros((stations, weeks)),
            paths=np.zeros((instruments, SORTS)),
            parts=np.zeros((instruments, SORTS)),
        )


def floor_of(line: Line) -> Floor:
    """Make a line ready, once for all its futures.

    Parameters
    ----------
    line : Line

    Returns
    -------
    Floor

    Raises
    ------
    ValueError
        If a name is unknown or stands twice, joins run in a ring, a job that joins
        others is begun already, an instrument has no job, or a joined job that may be
        thrown away was made of one that others wait for too.
    """
    named = _names("station", [one.name for one in line.stations])
    jobs = _names("job", [one.name for one in line.jobs])
    owners = _names("instrument", [one.name for one in line.instruments])
    _check(line, jobs, owners)
    mates = [[jobs[name] for name in job.joins] for job in line.jobs]
    afters: list[list[int]] = [[] for _ in line.jobs]
    for number, own in enumerate(mates):
        for mate in own:
            afters[mate].append(number)
    routes = Routes(named)
    ways = [routes.route_of(job.steps) for job in line.jobs]
    makers = _makers(line, mates, afters)
    shared = _Joined(afters, mates, makers)
    tails = _tails(ways, routes, shared)
    rows = _job_rows(line, ways, routes, owners, tails)
    spans = Spans()
    places = [
        (one.places, int(one.is_holding), *spans.of(one.hours)) for one in line.stations
    ]
    told = shared.columns()
    whole = [(*first, *told[n], *last) for n, (first, last) in enumerate(rows)]
    firsts, count = _waiting(ways, routes, len(line.stations))
    cells = [(low, high - low) for low, high in routes.shapes.ends]
    fixed = {
        "jobs": records(JOBS, whole),
        "rows": records(ROWS, routes.rows),
        "stations": records(STATIONS, places),
        "tables": records(TABLES, routes.shapes.tables or [(0, 0, 0)]),
        "cells": records(CELLS, cells or [(0.0, 0.0)]),
        "spans": records(SPANS, spans.spans),
        "days": numbers(spans.days),
        "afters": numbers(list(chain.from_iterable(afters))),
        "mates": numbers(list(chain.from_iterable(mates))),
        "makers": numbers(list(chain.from_iterable(makers))),
    }
    return Floor(line, fixed, firsts, count, sum(way.count for way in ways))


@dataclass(frozen=True, slots=True)
class _Joined:
    """Which jobs wait for which: after each, before each, and all it is made of."""

    afters: list[list[int]]
    mates: list[list[int]]
    makers: list[list[int]]

    def columns(self) -> list[tuple[int, ...]]:
        """Give for each job how many it needs, and its places in the flat lists."""
        at = [0, 0, 0]
        found = []
        for lists in zip(self.afters, self.mates, self.makers, strict=True):
            pairs = chain.from_iterable(zip(at, map(len, lists), strict=True))
            found.append((len(lists[1]), *pairs))
            at = [start + len(one) for start, one in zip(at, lists, strict=True)]
        return found


def _names(what: str, names: list[str]) -> dict[str, int]:
    found = {name: number for number, name in enumerate(names)}
    if len(found) != len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"names must differ, got two of {what} {twice!r}")
    return found


def _check(line: Line, jobs: dict[str, int], owners: dict[str, int]) -> None:
    for job in line.jobs:
        if job.instrument not in owners:
            raise ValueError(
                f"instrument must be one of the line, got {job.instrument!r}"
            )
        for name in job.joins:
            if name not in jobs:
                raise ValueError(f"joins must name jobs of the line, got {name!r}")
        if job.at == At.WORKING and job.steps[job.done].station is None:
            raise ValueError(f"at must not be WORKING without a station for {job.name}")
        if job.joins and (job.done or job.coats or job.spent_s or job.at != At.WAITING):
            raise ValueError(
                f"joins must be empty for a job that is begun, got {job.joins} "
                f"for {job.name}"
            )
    for name in owners.keys() - {job.instrument for job in line.jobs}:
        raise ValueError(f"instruments must have a job each, got none for {name!r}")


def _makers(
    line: Line, mates: list[list[int]], afters: list[list[int]]
) -> list[list[int]]:
    """Say of which jobs each one was made; only for those that may be thrown away."""
    jobs = range(len(line.jobs))
    edges = [(mate, job) for job in jobs for mate in mates[job]]
    order(jobs, edges)
    return [
        _made_of(job, mates, afters)
        if mates[job] and any(step.scrap for step in line.jobs[job].steps)
        else []
        for job in jobs
    ]


def _made_of(job: int, mates: list[list[int]], afters: list[list[int]]) -> list[int]:
    found: dict[int, None] = {}
    waiting = [job]
    while waiting:
        for mate in mates[waiting.pop()]:
            if mate not in found:
                found[mate] = None
                waiting.append(mate)
    for mate in found:
        if not {job, *found}.issuperset(afters[mate]):
            raise ValueError(
                "scrap must be 0 for a job made of one that others wait for too, "
                f"got more at job {job}"
            )
    return list(found)


def _tails(ways: list[Route], routes: Routes, joined: _Joined) -> list[float]:
    """Say how much work and dwell is planned after each job, the longest way."""
    left = 10  # the last column of a row
    tails = [0.0] * len(ways)
    edges = [(n, after) for n, some in enumerate(joined.afters) for after in some]
    for number in reversed(order(range(len(ways)), edges)):
        tails[number] = max(
            (
                routes.rows[ways[after].first][left] + tails[after]
                for after in joined.afters[number]
            ),
            default=0.0,
        )
    return tails


def _job_rows(
    line: Line,
    ways: list[Route],
    routes: Routes,
    owners: dict[str, int],
    tails: list[float],
) -> list[tuple[tuple[Any, ...], tuple[Any, ...]]]:
    """Give each job's columns before and after those of what it joins."""
    due = [min(one.due_s, _FAR) for one in line.instruments]
    found = []
    visits = 0
    for job, way, tail in zip(line.jobs, ways, tails, strict=True):
        key = int.from_bytes(blake2b(job.name.encode(), digest_size=8).digest(), "big")
        owner = owners[job.instrument]
        done = way.starts[job.done] + job.coats
        at = list(At).index(job.at)
        afresh = way.starts[job.afresh]
        first = (key, way.first, visits, way.count, done, at, afresh, owner)
        past = _past(job, routes)
        slack = due[owner] - tail
        last = (job.spent_s, past, job.release_s, job.rank * _RANK, slack)
        found.append((first, last))
        visits += way.count
    return found


def _past(job: Job, routes: Routes) -> float:
    """Say which share of a step's times is past, by how long it has lasted."""
    if job.at == At.WAITING or not job.spent_s:
        return 0.0
    step = job.steps[job.done]
    lasts = step.work
    if job.at == At.DWELLING:
        lasts = step.dwell if job.coats == step.times - 1 else step.gap
    return routes.shapes.share_below(lasts, job.spent_s)


def _waiting(
    ways: list[Route], routes: Routes, stations: int
) -> tuple[tuple[int, ...], int]:
    """Say where each station's waiting ones begin, and how many there can be in all."""
    counts = [0] * stations
    seen: dict[int, set[int]] = {}
    for way in ways:
        if way.first not in seen:
            rows = routes.rows[way.first : way.first + way.count]
            seen[way.first] = {row[0] for row in rows if row[0] >= 0}
        for station in seen[way.first]:
            counts[station] += 1
    firsts = [sum(counts[:number]) for number in range(stations)]
    return tuple(firsts), sum(counts)
