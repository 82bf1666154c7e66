"""What should become of a part, told as plainly as a person at a bench would?

It knows nothing of the product's rules or tables: a part has a few operations in a
row, is begun, perhaps checked, ended, and may be held.
"""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from uuid import UUID


class Deed(StrEnum):
    """What the tablets of the model press."""

    START = "START"
    FINISH = "FINISH"
    LOAD = "LOAD"
    TAKE_OUT = "TAKE_OUT"
    READ = "READ"
    HOLD = "HOLD"
    LIFT = "LIFT"


# By so much may clocks differ before anybody minds.
MINUTES = timedelta(minutes=2)
BEGINS, ENDS = (Deed.START, Deed.LOAD), (Deed.FINISH, Deed.TAKE_OUT)


@dataclass(frozen=True)
class Work:
    """One operation: where it is done, whether the part only lies there, and checks."""

    name: str
    station: str
    step: int
    lies: timedelta | None = None
    checked: bool = False

    def deeds(self) -> tuple[Deed, ...]:
        """Give how it is begun, how it is ended, and what comes between."""
        lies = self.lies is not None
        usual = (Deed.LOAD, Deed.TAKE_OUT) if lies else (Deed.START, Deed.FINISH)
        return (*usual, Deed.READ) if self.checked else usual


@dataclass
class PartModel:
    """A part on its way; ``at`` is which of its works is due, and since when."""

    works: tuple[Work, ...]
    since: datetime
    at: int = 0
    begun: bool = False
    until: datetime | None = None
    read: bool = False
    holds: dict[UUID, datetime] = field(default_factory=dict)

    def state_of(self, number: int) -> str:
        if number != self.at:
            return "DONE" if number < self.at else "WAITING"
        if not self.begun:
            return "READY"
        return "RUNNING" if self.works[number].lies is None else "DWELLING"

    def next_deed(self) -> tuple[int, Deed]:
        """Give what a person would do next, and to which of the works."""
        number = min(self.at, len(self.works) - 1)
        work = self.works[number]
        begin, end = work.deeds()[:2]
        if not self.begun:
            return number, begin
        return number, Deed.READ if work.checked and not self.read else end

    def hear(self, pressed: "Pressed", now: datetime) -> str:
        """Take a press, and give why it is refused; nothing where it is done."""
        if pressed.deed is Deed.HOLD:
            self.holds[pressed.event_id] = pressed.at
            return ""
        if pressed.deed is Deed.LIFT:
            if pressed.hold not in self.holds:
                return "floor.no_such_hold"
            del self.holds[pressed.hold]
            return ""
        reason = "floor.held" if self._is_held(pressed, now) else self._why_not(pressed)
        if not reason:
            self._do(pressed)
        return reason

    def _is_held(self, pressed: "Pressed", now: datetime) -> bool:
        """Say whether a hold stops it; one that came later stops nothing of before."""
        is_late = now - pressed.at > MINUTES
        return any(not is_late or at <= pressed.at for at in self.holds.values())

    def _why_not(self, pressed: "Pressed") -> str:
        work = self.works[pressed.number]
        if pressed.number != self.at:
            done = pressed.number < self.at
            return "floor.already_done" if done else "floor.comes_later"
        # Begun twice, or ended or checked before it was begun; or the other kind.
        if (pressed.deed in BEGINS) is self.begun or pressed.deed not in work.deeds():
            return "floor.not_now"
        if pressed.at < self.since - MINUTES:
            return "floor.before_its_turn"
        if pressed.station != work.station:
            return "floor.not_here"
        return self._why_not_ended(pressed) if pressed.deed in ENDS else ""

    def _why_not_ended(self, pressed: "Pressed") -> str:
        if self.until and pressed.at < self.until:
            return "floor.still_dwelling"
        is_missing = self.works[self.at].checked and not self.read
        return "floor.check_missing" if is_missing else ""

    def _do(self, pressed: "Pressed") -> None:
        work = self.works[self.at]
        if pressed.deed in BEGINS:
            self.begun = True
            self.since = pressed.at
            self.until = pressed.at + work.lies if work.lies else None
        elif pressed.deed is Deed.READ:
            self.read = True
        else:
            self.at += 1
            self.begun = self.read = False
            self.since = pressed.at
            self.until = None


@dataclass(frozen=True)
class Pressed:
    """A press as a tablet keeps it in its outbox, with its own idea of the time."""

    event_id: UUID
    tablet: int
    part: int
    number: int
    deed: Deed
    station: str
    at: datetime
    hold: UUID | None = None
