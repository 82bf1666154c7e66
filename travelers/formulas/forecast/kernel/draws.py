"""Which chance falls to this job, at this step, in this future?"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

WORK, DWELL, FATE, BEFORE = 0, 1, 2, 3
"""What is drawn for: each has numbers of its own."""


def mixed(number: Any) -> Any:
    """Mix the bits of an unsigned number of 64 bits.

    References
    ----------
    G. L. Steele, D. Lea, C. H. Flood (2014), "Fast splittable pseudorandom number
    generators" (SplitMix64), with D. Stafford's variant 13 of the constants (from
    memory).
    """
    number = (number ^ (number >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    number = (number ^ (number >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return number ^ (number >> np.uint64(31))


def luck(key: Any, step: int, turn: int, purpose: int) -> float:
    """Give the number from 0 to below 1 of a step: a hash, moved by nothing else.

    The key is that of job and future; the turn says how often the job was there.
    """
    count = np.uint64((step * 64 + turn) * 4 + purpose + 1)
    bits = mixed(key + count * np.uint64(0x9E3779B97F4A7C15))
    return float(bits >> np.uint64(11)) * (1.0 / 9007199254740992.0)


def drawn(shape: Any, cells: Any, share: float) -> float:
    """Give the time below which a share of all lies, before it is scaled."""
    place = share * shape.count
    cell = int(place)
    rest = place - cell
    if cell == shape.count - 1 and shape.tails > 0:
        place = rest * shape.tails
        cell = int(place)
        rest = place - cell
        cell += shape.count
    within = cells[np.uint64(shape.first + cell)]
    return float(within.low + rest * within.width)
