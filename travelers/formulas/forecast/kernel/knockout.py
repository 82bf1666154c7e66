"""What happens next?

Each job and each station has at most one event before it. They play a knockout: of two
neighbours the earlier goes on, and the first of all stands at place 1. To note an event
is to play the games on its way up again. A heap has fewer, but where they end is left
to chance, and a branch that goes either way by chance costs more than all games here.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

NEVER = 2**63 - 1
"""The key of what does not happen: after those of all moments.

A moment's key is its bits read as a whole number, which has the same order from 0 on.
"""


def push_event(keys: Any, firsts: Any, state: Any, moment: float, event: int) -> None:
    """Note the event of a job or station; its moment is from 0, without a sign."""
    if state.over == event:
        state.over = -1
    play(keys, firsts, event, np.float64(moment).view(np.int64))


def pop_event(keys: Any, firsts: Any, state: Any) -> int:
    """Take the earliest event and set the clock; -1 if there is none.

    Of several at one moment that of the lowest number comes first. It stands until the
    next one is taken, or until its job or station has another.
    """
    if state.over >= 0:
        play(keys, firsts, state.over, NEVER)
        state.over = -1
    key = keys[1]
    if key < NEVER:
        state.over = firsts[1]
        state.clock = np.int64(key).view(np.float64)
    return int(state.over)


def play(keys: Any, firsts: Any, event: int, key: Any) -> None:
    """Give an event its key, and play the games from there up.

    The other side goes on if its key is less, or the same and it stands to the left:
    then all bits of ``goes`` are set, else none.
    """
    one = np.uint64(1)
    place = np.uint64(keys.shape[0] >> 1) + np.uint64(event)
    first = np.int64(event)
    keys[place] = key
    firsts[place] = first
    while place > one:
        other = keys[place ^ one]
        goes = (other - np.int64(place & one) - key) >> 63
        key += (other - key) & goes
        first ^= (first ^ firsts[place ^ one]) & goes
        place >>= one
        keys[place] = key
        firsts[place] = first
