"""How sure is a plan, and does an order hold its day?  Pure."""

from enum import StrEnum

# Of 100 futures, as many as all promises are told with.
CERTAINTIES = (50, 80, 95)
USUAL_CERTAINTY = 80


class Holds(StrEnum):
    """Whether an order is finished by its day with the certainty asked for."""

    HOLDS = "HOLDS"
    # Even if it were started today, on an empty floor.
    TOO_SHORT = "TOO_SHORT"
    # The floor or a room has no room for it when it should start.
    HELD_BACK = "HELD_BACK"
    # What is on the floor, or is due sooner, stands in its way.
    QUEUES = "QUEUES"
    # It is larger than the floor or a room may ever hold.
    NEVER = "NEVER"


def holds(
    *, start: int | None, alone: int, held_by: str, late_share: float, certainty: float
) -> Holds:
    """Say whether a planned order holds its day, or what keeps it from that.

    ``start`` is the day that it was given, from today as 0; ``alone`` the latest one if
    nothing else were on the floor; ``held_by`` the limit that moved it.
    """
    if start is None:
        return Holds.NEVER
    if late_share <= 1 - certainty + 1e-9:
        return Holds.HOLDS
    if alone < 0:
        return Holds.TOO_SHORT
    return Holds.HELD_BACK if held_by and start > alone else Holds.QUEUES
