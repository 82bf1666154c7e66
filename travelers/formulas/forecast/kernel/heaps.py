"""What happens next, and who is taken next?"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np


def push_event(heap: Any, state: Any, moment: float, event: int) -> None:
    """Note an event; it takes the place of the one that has just happened, if free."""
    if state.hole:
        state.hole = 0
        sink_event(heap, state.events, moment, event)
        return
    place = state.events
    state.events += 1
    while place > 0:
        above = (place - 1) >> 1
        other = heap[above]
        if other.at < moment or (other.at == moment and other.event < event):
            break
        heap[place].at = other.at
        heap[place].event = other.event
        place = above
    heap[place].at = moment
    heap[place].event = event


def pop_event(heap: Any, state: Any) -> int:
    """Take the earliest event and set the clock; -1 if there is none.

    Of several at one moment that of the lowest number comes first. Its place at the top
    stays empty until the next one is noted or taken.
    """
    if state.hole:
        state.hole = 0
        state.events -= 1
        if state.events > 0:
            last = heap[state.events]
            sink_event(heap, state.events, last.at, last.event)
    if state.events == 0:
        return -1
    state.hole = 1
    state.clock = heap[0].at
    return int(heap[0].event)


def sink_event(heap: Any, count: int, moment: float, event: int) -> None:
    """Put an event at the top of so many and let it sink to its place.

    Of two below, the earlier one is chosen by reckoning: a branch that goes either way
    by chance costs more. Numbers without a sign spare a look from the array's end.
    """
    step, end = np.uint64(1), np.uint64(count)
    place, below = np.uint64(0), np.uint64(1)
    while below < end:
        one = heap[below]
        if below + step < end:
            two = heap[below + step]
            same = np.uint64(two.at == one.at) & np.uint64(two.event < one.event)
            below += np.uint64(two.at < one.at) | same
        first = heap[below]
        if moment < first.at or (moment == first.at and event < first.event):
            break
        heap[place].at = first.at
        heap[place].event = first.event
        place = below
        below = place + place + step
    heap[place].at = moment
    heap[place].event = event


def push_waiting(lines: Any, spot: Any, key: float, came: int, job: int) -> None:
    """Let a job wait at a station; of equal keys who came first goes first."""
    first = spot.first
    place = spot.waiting
    spot.waiting += 1
    while place > 0:
        above = (place - 1) >> 1
        other = lines[first + above]
        if other.key <= key:
            break
        here = lines[first + place]
        here.key = other.key
        here.came = other.came
        here.job = other.job
        place = above
    here = lines[first + place]
    here.key = key
    here.came = came
    here.job = job


def pop_waiting(lines: Any, spot: Any) -> int:
    """Take the one whose turn it is; there must be one."""
    first = spot.first
    taken = int(lines[first].job)
    spot.waiting -= 1
    count = spot.waiting
    last = lines[first + count]
    place = 0
    below = 1
    while below < count:
        one = lines[first + below]
        if below + 1 < count:
            two = lines[first + below + 1]
            if two.key < one.key or (two.key == one.key and two.came < one.came):
                below += 1
                one = two
        if last.key < one.key or (last.key == one.key and last.came < one.came):
            break
        here = lines[first + place]
        here.key = one.key
        here.came = one.came
        here.job = one.job
        place = below
        below = 2 * place + 1
    here = lines[first + place]
    here.key = last.key
    here.came = last.came
    here.job = last.job
    return taken
