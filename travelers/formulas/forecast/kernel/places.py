"""Who gets a place, how long does each step take, and what was waited for?"""

from typing import TYPE_CHECKING, Any

from travelers.formulas.forecast.kernel.clocks import count_weeks, opening, worked
from travelers.formulas.forecast.kernel.draws import DWELL, drawn, luck
from travelers.formulas.forecast.kernel.heaps import pop_waiting
from travelers.formulas.forecast.kernel.knockout import push_event

if TYPE_CHECKING:
    import numpy as np

OUT, EARLY, QUEUED, WORKING, DWELLING, LYING, ENDED = 0, 1, 2, 3, 4, 5, 6
"""What a job is doing: not begun, held back, waiting, …, lying in a holding station."""

WORKED, WAITED, CLOSED, DWELT, HELD_BACK, MATES = 0, 1, 2, 3, 4, 5
"""What time goes to; the columns of a job's chain before those of the stations."""

SORTS = 6


def serve(world: Any, station: int) -> None:
    """Give free places to those whose turn it is, or wake when the station opens."""
    spot, place, state = world.spots[station], world.stations[station], world.state[0]
    if spot.waiting > 0 and spot.busy < place.places:
        opens = opening(place, world.spans, world.days, state.clock)
        if opens <= state.clock:
            while spot.waiting > 0 and spot.busy < place.places:
                begin(world, pop_waiting(world.lines, spot), station)
        elif not spot.wakes:
            spot.wakes = 1
            push_event(
                world.keys, world.firsts, state, opens, world.jobs.shape[0] + station
            )


def begin(world: Any, job: int, station: int) -> None:
    """Begin the step of a job that has got a place."""
    now, clock = world.now[job], world.state[0].clock
    spot = world.spots[station]
    spot.busy += 1
    spot.starts += 1
    if now.since < clock:
        count_wait(world, job, station)
    set_off(world, job, now.work, -1.0)


def count_wait(world: Any, job: int, station: int) -> None:
    """Count how long a job that now begins has waited, and for what."""
    now, clock, chain = world.now[job], world.state[0].clock, world.chain
    spot = world.spots[station]
    before = max(0.0, -now.since)
    since = max(0.0, now.since)
    opens = opening(world.stations[station], world.spans, world.days, since)
    opened = min(clock, opens)
    chain[job, CLOSED] += opened - since
    chain[job, WAITED] += clock - opened
    chain[job, SORTS + station] += clock - opened
    whole = clock - now.since
    spot.waited_s += clock - since
    spot.aged_s2 += (whole * whole - before * before) / 2
    count_weeks(world.queue[station], since, clock)


def set_off(world: Any, job: int, work: float, dwell_s: float) -> None:
    """Note when work that begins now ends; in a holding station, when the part leaves.

    A dwell below 0 is still to be drawn.
    """
    now, who, state = world.now[job], world.jobs[job], world.state[0]
    clock, chain = state.clock, world.chain
    row = world.rows[who.route + now.step]
    station: Any = np.uint32(row.station)
    place, weeks = world.stations[station], world.busy[station]
    end = clock
    if work > 0:
        end = worked(place, world.spans, world.days, clock, work, weeks)
    chain[job, WORKED] += work
    chain[job, CLOSED] += end - clock - work
    world.spots[station].busy_s += work
    now.phase = WORKING
    if place.is_holding:
        now.phase = LYING
        if dwell_s < 0:
            dwell_s = dwell_of(world, job)
        leaves = opening(place, world.spans, world.days, end + dwell_s)
        world.spots[station].busy_s += leaves - end
        count_weeks(weeks, end, leaves)
        chain[job, DWELT] += dwell_s
        chain[job, CLOSED] += leaves - end - dwell_s
        end = leaves
    note(world, job, station, clock, end)
    push_event(world.keys, world.firsts, state, end, job)


def dwell(world: Any, job: int) -> None:
    """Let a job dwell without a place."""
    state = world.state[0]
    lasts = dwell_of(world, job)
    world.chain[job, DWELT] += lasts
    world.now[job].since = state.clock
    world.now[job].phase = DWELLING
    note(world, job, -1, state.clock, state.clock + lasts)
    push_event(world.keys, world.firsts, state, state.clock + lasts, job)


def note(world: Any, job: int, station: int, start: float, end: float) -> None:
    """Write what was begun in the log, if one is kept and not full."""
    state, log = world.state[0], world.log
    if state.noted < log.shape[0]:
        now = world.now[job]
        entry = log[state.noted]
        entry.job = job
        entry.step = now.step
        entry.station = station
        entry.ready = now.since
        entry.start = start
        entry.end = end
    state.noted += 1


def dwell_of(world: Any, job: int) -> float:
    """Draw how long a job dwells after its step."""
    row = world.rows[world.jobs[job].route + world.now[job].step]
    lasts = row.dwell
    if row.dwell_table >= 0:
        share = luck_of(world, job, DWELL)
        lasts = spread(world, row.dwell_table, row.dwell, share)
    return float(lasts)


def luck_of(world: Any, job: int, purpose: int) -> float:
    """Draw for a job's step, by how often it was there."""
    now, who = world.now[job], world.jobs[job]
    turn = 0
    if now.turns > 0:
        turn = int(world.visits[who.visits + now.step])
    return luck(world.future[0] + who.key, now.step, turn, purpose)


def spread(world: Any, table: int, scale: float, share: float) -> float:
    """Give the time of a spread below which a share of all lies."""
    time = scale
    if table >= 0:
        time = scale * drawn(world.tables[table], world.cells, share)
    return time
