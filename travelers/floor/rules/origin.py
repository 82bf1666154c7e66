"""How did an event come in?  By a screen, from a tablet's store, from paper."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

# Off by more than this, a tablet's clock is told to the people.
CLOCK_OFF = timedelta(minutes=2)


class Source(StrEnum):
    """What an event was first written on."""

    SCREEN = "SCREEN"
    PAPER = "PAPER"


@dataclass(frozen=True, slots=True)
class Origin:
    """Where an event comes from, beside who, where and when.

    ``number`` is the tablet's own count of its events and ``tablet_at`` what its
    clock said, uncorrected.  ``entered_by_id`` typed in what stood on paper.
    """

    tablet_id: int | None = None
    number: int | None = None
    tablet_at: datetime | None = None
    source: Source = Source.SCREEN
    entered_by_id: int | None = None


FROM_A_SCREEN = Origin()


def clock_is_off(tablet_at: datetime | None, happened_at: datetime) -> bool:
    """Say whether a tablet's clock was so far off that people should know."""
    return tablet_at is not None and abs(tablet_at - happened_at) > CLOCK_OFF
