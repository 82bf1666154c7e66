"""Who of those that wait at a station is taken next?"""

from typing import Any


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
