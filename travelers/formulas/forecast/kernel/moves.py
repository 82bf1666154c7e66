"""How does a job go on from one event to the next?

An event ends what a job was doing (`advance`). The job, or those that waited for it,
stand then in ``todo`` and come to their next step one by one (`come`); after each, the
station that this concerns gives its free places (`serve`).
"""

from typing import Any

from travelers.formulas.forecast.kernel.clocks import count_weeks, opening, worked
from travelers.formulas.forecast.kernel.draws import (
    BEFORE,
    DWELL,
    FATE,
    WORK,
    drawn,
    luck,
)
from travelers.formulas.forecast.kernel.heaps import (
    pop_waiting,
    push_event,
    push_waiting,
)

OUT, EARLY, QUEUED, WORKING, DWELLING, LYING, ENDED = 0, 1, 2, 3, 4, 5, 6
"""What a job is doing: not begun, held back, waiting, …, lying in a holding station."""

WORKED, WAITED, CLOSED, DWELT, HELD_BACK, MATES = 0, 1, 2, 3, 4, 5
"""What time goes to; the columns of a job's chain before those of the stations."""

SORTS = 6
MOST_TURNS = 63


def settle(world: Any) -> None:
    """Let all that stand in ``todo`` come, and their stations give their places."""
    state = world.state[0]
    while True:
        if state.to_serve >= 0:
            station = state.to_serve
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
        push_event(world.heap, state, moment, job)
    elif row.station < 0:
        dwell(world, job)
    else:
        line_up(world, job)
        state.to_serve = row.station


def line_up(world: Any, job: int) -> None:
    """Let a job wait at its step's station."""
    now, who, state = world.now[job], world.jobs[job], world.state[0]
    row = world.rows[who.route + now.step]
    key = now.since
    if state.by_slack:
        key = who.due - row.left
    now.phase = QUEUED
    state.came += 1
    spot = world.spots[row.station]
    push_waiting(world.lines, spot, who.rank + key, state.came, job)


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
            push_event(world.heap, state, opens, world.jobs.shape[0] + station)


def begin(world: Any, job: int, station: int) -> None:
    """Begin the step of a job that has got a place."""
    now, who, clock = world.now[job], world.jobs[job], world.state[0].clock
    row, spot = world.rows[who.route + now.step], world.spots[station]
    spot.busy += 1
    spot.starts += 1
    if now.since < clock:
        count_wait(world, job, station)
    work = row.work
    if row.work_table >= 0:
        share = luck_of(world, job, WORK)
        work = spread(world, row.work_table, row.work, share)
    set_off(world, job, work, -1.0)


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
    station = row.station
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
    push_event(world.heap, state, end, job)


def dwell(world: Any, job: int) -> None:
    """Let a job dwell without a place."""
    state = world.state[0]
    lasts = dwell_of(world, job)
    world.chain[job, DWELT] += lasts
    world.now[job].since = state.clock
    world.now[job].phase = DWELLING
    note(world, job, -1, state.clock, state.clock + lasts)
    push_event(world.heap, state, state.clock + lasts, job)


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


def dwell_of(world: Any, job: int) -> float:
    """Draw how long a job dwells after its step."""
    row = world.rows[world.jobs[job].route + world.now[job].step]
    lasts = row.dwell
    if row.dwell_table >= 0:
        share = luck_of(world, job, DWELL)
        lasts = spread(world, row.dwell_table, row.dwell, share)
    return float(lasts)


def advance(world: Any, job: int) -> None:
    """End what a job was doing until now."""
    now, state = world.now[job], world.state[0]
    row = world.rows[world.jobs[job].route + now.step]
    phase = now.phase
    if phase in (WORKING, LYING):
        world.spots[row.station].busy -= 1
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
