"""How does a job go on from one event to the next?

An event ends what a job was doing (`advance`). The job, or those that waited for it,
stand then in ``todo`` and come to their next step one by one (`come`); after each, the
station that this concerns gives its free places (`serve`).
"""

from typing import TYPE_CHECKING, Any

from travelers.formulas.forecast.kernel.draws import BEFORE, FATE, WORK
from travelers.formulas.forecast.kernel.heaps import push_waiting
from travelers.formulas.forecast.kernel.knockout import push_event
from travelers.formulas.forecast.kernel.places import (
    EARLY,
    ENDED,
    HELD_BACK,
    LYING,
    MATES,
    OUT,
    QUEUED,
    SORTS,
    WORKING,
    dwell,
    luck_of,
    serve,
    spread,
)

if TYPE_CHECKING:
    import numpy as np

MOST_TURNS = 63


def settle(world: Any) -> None:
    """Let all that stand in ``todo`` come, and their stations give their places."""
    state = world.state[0]
    while True:
        if state.to_serve >= 0:
            station: Any = np.uint32(state.to_serve)
            state.to_serve = -1
            serve(world, station)
        if state.todo_first == state.todo_last:
            state.todo_first = 0
            state.todo_last = 0
            break
        job = world.todo[state.todo_first]
        state.todo_first += 1
        come(world, job, state.clock)


def shall_come(world: Any, job: int) -> None:
    """Let a job stand in ``todo``."""
    state = world.state[0]
    world.todo[state.todo_last] = job
    state.todo_last += 1


def come(world: Any, job: int, since: float) -> None:
    """Let a job come to its step: held back, dwelling, or waiting at its station.

    It waits there since now, or at the forecast's start since a moment before.
    """
    now, who, state = world.now[job], world.jobs[job], world.state[0]
    clock = state.clock
    row = world.rows[who.route + now.step]
    moment = clock
    if not now.is_in:
        moment = who.release
        if moment <= clock:
            count_in(world, job)
    if moment <= clock and row.before_table >= -1:
        share = luck_of(world, job, BEFORE)
        moment = spread(world, row.before_table, row.before, share)
    now.since = since
    if moment > clock:
        world.chain[job, HELD_BACK] += moment - clock
        now.phase = EARLY
        push_event(world.keys, world.firsts, state, moment, job)
    elif row.station < 0:
        dwell(world, job)
    else:
        line_up(world, job)
        state.to_serve = row.station


def line_up(world: Any, job: int) -> None:
    """Let a job wait at its step's station.

    How long it will work is drawn already: when its turn comes, all waits for its end.
    """
    now, who, state = world.now[job], world.jobs[job], world.state[0]
    row = world.rows[who.route + now.step]
    key = now.since
    if state.by_slack:
        key = who.due - row.left
    now.phase = QUEUED
    now.work = row.work
    if row.work_table >= 0:
        share = luck_of(world, job, WORK)
        now.work = spread(world, row.work_table, row.work, share)
    state.came += 1
    spot = world.spots[np.uint32(row.station)]
    push_waiting(world.lines, spot, who.rank + key, state.came, job)


def advance(world: Any, job: int) -> None:
    """End what a job was doing until now."""
    now, state = world.now[job], world.state[0]
    row = world.rows[world.jobs[job].route + now.step]
    phase = now.phase
    if phase in (WORKING, LYING):
        world.spots[np.uint32(row.station)].busy -= 1
        state.to_serve = row.station
    if phase == EARLY:
        shall_come(world, job)
    elif phase == WORKING and row.dwell > 0:
        dwell(world, job)
    else:
        pass_on(world, job)


def pass_on(world: Any, job: int) -> None:
    """Decide what comes after a step that is done: the next, rework, or a new part."""
    now, who = world.now[job], world.jobs[job]
    row = world.rows[who.route + now.step]
    share = 2.0
    if row.fails > 0:
        share = fate(world, job)
    if share < row.scrap:
        start_afresh(world, job)
    elif share < row.fails:
        go_back(world, job, row.back, now.step)
        shall_come(world, job)
    else:
        now.step += 1
        if now.step < who.count:
            shall_come(world, job)
        else:
            end_job(world, job)


def fate(world: Any, job: int) -> float:
    """Draw whether a part passes its step; above 1 where it has had its turns."""
    now, who = world.now[job], world.jobs[job]
    turn = 0
    if now.turns > 0:
        turn = int(world.visits[who.visits + now.step])
    share = 2.0
    if turn < world.state[0].most_turns:
        share = luck_of(world, job, FATE)
    return share


def go_back(world: Any, job: int, target: int, last: int) -> None:
    """Put a job back to a step; all from there on are drawn anew."""
    now, first = world.now[job], world.jobs[job].visits
    for step in range(target, last + 1):
        world.visits[first + step] = min(MOST_TURNS, world.visits[first + step] + 1)
    now.turns += 1
    now.step = target


def start_afresh(world: Any, job: int) -> None:
    """Throw a part away and start a new one; of a joined one, all its parts."""
    now, who = world.now[job], world.jobs[job]
    go_back(world, job, who.afresh, now.step)
    if who.makers == 0:
        shall_come(world, job)
        return
    count_out(world, job)
    now.phase = OUT
    now.missing = who.needs
    for place in range(who.made_of, who.made_of + who.makers):
        maker = world.makers[place]
        part, own = world.now[maker], world.jobs[maker]
        go_back(world, maker, own.afresh, own.count - 1)
        part.phase = OUT
        part.missing = own.needs
        if own.needs == 0:
            hand_on(world.chain, job, maker)
            shall_come(world, maker)


def count_in(world: Any, job: int) -> None:
    """Count a job in from now on."""
    now, state = world.now[job], world.state[0]
    now.entered = state.clock
    now.is_in = 1
    state.inside += 1
    for sort in range(SORTS):
        world.base[job, sort] = world.chain[job, sort]


def count_out(world: Any, job: int) -> None:
    """Count a job out, with where its own time went."""
    now, state, chain = world.now[job], world.state[0], world.chain
    now.ended = state.clock
    now.is_in = 0
    state.inside -= 1
    state.stayed += state.clock - now.entered
    owner = world.jobs[job].instrument
    for sort in range(SORTS):
        world.parts[owner, sort] += chain[job, sort] - world.base[job, sort]


def end_job(world: Any, job: int) -> None:
    """Finish a job; those that waited for it alone shall come.

    It hands on to them where the time went until now.
    """
    who, clock = world.jobs[job], world.state[0].clock
    count_out(world, job)
    world.now[job].phase = ENDED
    for place in range(who.after, who.after + who.afters):
        other = world.afters[place]
        now, own = world.now[other], world.jobs[other]
        now.missing -= 1
        if now.missing == 0:
            for mated in range(own.mate, own.mate + own.mates):
                mate = world.mates[mated]
                owner = world.jobs[mate].instrument
                world.parts[owner, MATES] += clock - world.now[mate].ended
            hand_on(world.chain, job, other)
            shall_come(world, other)


def hand_on(chain: Any, job: int, other: int) -> None:
    """Let another job have where the time of this one went until now."""
    for column in range(chain.shape[1]):
        chain[other, column] = chain[job, column]
