"""What becomes of the floor in each of so many futures?"""

from typing import TYPE_CHECKING, Any

from travelers.formulas.forecast.kernel.draws import DWELL, WORK, mixed
from travelers.formulas.forecast.kernel.knockout import pop_event, push_event
from travelers.formulas.forecast.kernel.moves import advance, come, count_in, settle
from travelers.formulas.forecast.kernel.places import (
    DWELLING,
    DWELT,
    SORTS,
    luck_of,
    note,
    set_off,
    spread,
)

if TYPE_CHECKING:
    import numpy as np


def run(world: Any, seed: Any, first: int, count: int) -> int:
    """Live through futures, each drawn by its number; give how many events there were.

    ``seed`` is an unsigned number of 64 bits; the futures are ``first`` and so many
    after it.
    """
    happened = 0
    for place in range(count):
        number = np.uint64(first + place) * np.uint64(0xD1B54A32D192ED03)
        world.future[0] = mixed(seed + number)
        set_up(world)
        stand(world)
        happened += live_on(world)
        harvest(world, place)
    return happened


def live_on(world: Any) -> int:
    """Let event after event happen until there are none; give how many there were."""
    happened = 0
    jobs, state = world.jobs.shape[0], world.state[0]
    while True:
        event = pop_event(world.keys, world.firsts, state)
        if event < 0:
            break
        state.area += state.inside * (state.clock - state.seen)
        state.seen = state.clock
        if event < jobs:
            happened += 1
            advance(world, event)
        else:
            world.spots[event - jobs].wakes = 0
            state.to_serve = event - jobs
        settle(world)
    return happened


def set_up(world: Any) -> None:
    """Put the floor back to how it stands at the forecast's start."""
    state = world.state[0]
    state.clock = 0.0
    state.seen = 0.0
    state.area = 0.0
    state.stayed = 0.0
    state.over = -1
    state.came = 0
    state.inside = 0
    state.noted = 0
    state.to_serve = -1
    state.todo_first = 0
    state.todo_last = 0
    for station in range(world.spots.shape[0]):
        spot = world.spots[station]
        spot.busy = 0
        spot.waiting = 0
        spot.wakes = 0
        spot.starts = 0
        spot.busy_s = 0.0
        spot.waited_s = 0.0
        spot.aged_s2 = 0.0
    world.visits[:] = 0
    world.chain[:] = 0.0
    for job in range(world.jobs.shape[0]):
        now, who = world.now[job], world.jobs[job]
        now.step = who.done
        now.phase = 0
        now.turns = 0
        now.missing = who.needs
        now.is_in = 0
        now.ended = -1.0


def stand(world: Any) -> None:
    """Let each job be where it is: on its place, dwelling, waiting, or not begun.

    Those that wait are given places by the first events, once all stand in their lines.
    """
    state = world.state[0]
    for job in range(world.jobs.shape[0]):
        who = world.jobs[job]
        if who.needs == 0 and who.at > 0:
            count_in(world, job)
            go_on(world, job)
    for job in range(world.jobs.shape[0]):
        who = world.jobs[job]
        if who.needs == 0 and who.at == 0:
            come(world, job, -who.spent)
    for station in range(world.spots.shape[0]):
        world.spots[station].wakes = 1
        push_event(world.keys, world.firsts, state, 0.0, world.jobs.shape[0] + station)
    state.to_serve = -1


def go_on(world: Any, job: int) -> None:
    """Go on with work or a dwell that was begun before; draw what is still possible."""
    now, who, state = world.now[job], world.jobs[job], world.state[0]
    row = world.rows[who.route + now.step]
    now.since = 0.0
    works = who.at == 1
    table, scale, purpose = row.dwell_table, row.dwell, DWELL
    if works:
        table, scale, purpose = row.work_table, row.work, WORK
    share = who.past + (1.0 - who.past) * luck_of(world, job, purpose)
    left = max(0.0, spread(world, table, scale, share) - who.spent)
    if works or (row.station >= 0 and world.stations[row.station].is_holding):
        world.spots[row.station].busy += 1
        set_off(world, job, left if works else 0.0, -1.0 if works else left)
    else:
        world.chain[job, DWELT] += left
        now.phase = DWELLING
        note(world, job, -1, 0.0, left)
        push_event(world.keys, world.firsts, state, state.clock + left, job)


def harvest(world: Any, place: int) -> None:
    """Write down what became of the instruments and of the stations."""
    for job in range(world.jobs.shape[0]):
        who, now = world.jobs[job], world.now[job]
        if who.afters > 0:
            continue
        owner = who.instrument
        if now.ended >= world.finishes[place, owner]:
            world.finishes[place, owner] = now.ended
            world.last[owner] = job
    for owner in range(world.last.shape[0]):
        job = world.last[owner]
        for sort in range(SORTS):
            world.paths[owner, sort] += world.chain[job, sort]
        for station in range(world.spots.shape[0]):
            world.limits[place, station] += world.chain[job, SORTS + station]
    for station in range(world.spots.shape[0]):
        spot, told = world.spots[station], world.told[place, station]
        told.starts = spot.starts
        told.busy_s = spot.busy_s
        told.waited_s = spot.waited_s
        told.aged_s2 = spot.aged_s2
    state = world.state[0]
    world.little[place, 0] = state.area
    world.little[place, 1] = state.stayed
