"""What does the floor look like as it stands, and what must still be done?"""

import math
from dataclasses import dataclass
from enum import StrEnum

from travelers.formulas.forecast.hours import ALWAYS, Hours
from travelers.formulas.forecast.spreads import Spread

NO_TIME = Spread(0.0)


class Rule(StrEnum):
    """In which order those that wait at a station are taken, of equal rank."""

    FIRST_COME = "FIRST_COME"
    LEAST_SLACK = "LEAST_SLACK"


class At(StrEnum):
    """How far a job has come with the step that it is at."""

    WAITING = "WAITING"
    WORKING = "WORKING"
    DWELLING = "DWELLING"


@dataclass(frozen=True, slots=True)
class Station:
    """Where parts are worked on, or lie.

    Attributes
    ----------
    name : str
    places : int
        How many parts at once, from 1.
    hours : Hours
        When work goes on and something can be begun, laid in or taken out. Work that
        is not done at closing time keeps its place and goes on at the next opening.
    is_holding : bool
        Whether a part keeps its place while it dwells. Dwelling runs day and night.
    """

    name: str
    places: int
    hours: Hours = ALWAYS
    is_holding: bool = False

    def __post_init__(self) -> None:
        """Refuse what is out of its range."""
        if not self.places >= 1:
            raise ValueError(f"places must be at least 1, got {self.places!r}")


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a job.

    Attributes
    ----------
    station : str or None
        Its name; None for a wait that needs no place.
    work : Spread
        Seconds of open time, on a place.
    dwell : Spread
        Seconds of any time after the work, before the part may go on.
    not_before : Spread or None
        Seconds since the forecast's start before which it cannot begin, such as the
        day on which wood is dry.
    times : int
        How often it is done, from 1: coats.
    gap : Spread
        Seconds of any time between one coat and the next.
    scrap, rework : float
        Which share is thrown away, or sent back, after it; together at most 1.
    back_to : int
        The step, counted from 0, that rework goes back to; at most this one.
    """

    station: str | None
    work: Spread = NO_TIME
    dwell: Spread = NO_TIME
    not_before: Spread | None = None
    times: int = 1
    gap: Spread = NO_TIME
    scrap: float = 0.0
    rework: float = 0.0
    back_to: int = 0

    def __post_init__(self) -> None:
        """Refuse what is out of its range."""
        if not self.times >= 1:
            raise ValueError(f"times must be at least 1, got {self.times!r}")
        if not (self.scrap >= 0 and self.rework >= 0 and self.scrap + self.rework <= 1):
            raise ValueError(
                f"scrap and rework must be from 0 and together at most 1, got "
                f"{self.scrap!r} and {self.rework!r}"
            )


@dataclass(frozen=True, slots=True)
class Job:
    """A part on its way, or an instrument from where its parts are joined.

    Attributes
    ----------
    name : str
        Unlike any other's. Chance is drawn by it, so that the same job has the same
        luck whatever else is changed.
    instrument : str
        Which instrument it belongs to.
    steps : tuple of Step
        From its very first, so that a new part can start afresh.
    done, coats : int
        How many steps are done, and how many coats of the next.
    at : At
        How far the next step has come.
    spent_s : float
        For how long it has been so: seconds waited or dwelt, or open seconds worked.
        Chance is drawn from what is still possible after that.
    release_s : float
        When it is or was started, in seconds since the forecast's start.
    joins : tuple of str
        Names of jobs that must be finished before it can begin.
    rank : int
        Lower ones are taken first, whatever the rule says: what a planner has pinned.
    afresh : int
        The step that a new part starts with when this one is thrown away.
    """

    name: str
    instrument: str
    steps: tuple[Step, ...]
    done: int = 0
    coats: int = 0
    at: At = At.WAITING
    spent_s: float = 0.0
    release_s: float = 0.0
    joins: tuple[str, ...] = ()
    rank: int = 0
    afresh: int = 0

    def __post_init__(self) -> None:
        """Refuse what is out of its range."""
        if not 0 <= self.done < len(self.steps):
            raise ValueError(
                f"done must be from 0 to below {len(self.steps)}, all steps of "
                f"{self.name}, got {self.done!r}"
            )
        if not 0 <= self.coats < self.steps[self.done].times:
            raise ValueError(
                f"coats must be from 0 to below {self.steps[self.done].times}, "
                f"got {self.coats!r} for {self.name}"
            )
        if not 0 <= self.afresh < len(self.steps):
            raise ValueError(
                f"afresh must be a step of {self.name}, got {self.afresh!r}"
            )
        if not (self.spent_s >= 0 and math.isfinite(self.spent_s)):
            raise ValueError(f"spent_s must be 0 or more, got {self.spent_s!r}")
        if not math.isfinite(self.release_s):
            raise ValueError(f"release_s must be finite, got {self.release_s!r}")
        for number, step in enumerate(self.steps):
            if step.rework and not 0 <= step.back_to <= number:
                raise ValueError(
                    f"back_to must be from 0 to {number}, got {step.back_to!r} for "
                    f"step {number} of {self.name}"
                )


@dataclass(frozen=True, slots=True)
class Instrument:
    """What is promised.

    Attributes
    ----------
    name : str
    order : str
        The work order that it belongs to.
    due_s : float
        Seconds since the forecast's start; infinite if nothing is promised.
    """

    name: str
    order: str = ""
    due_s: float = math.inf


@dataclass(frozen=True, slots=True)
class Line:
    """The floor as it stands.

    Attributes
    ----------
    stations : tuple of Station
    jobs : tuple of Job
        Those not finished.
    instruments : tuple of Instrument
        Each with at least one job.
    rule : Rule
    most_turns : int
        How often a step may send the same part back or scrap it; then it passes. From
        0 to 60.
    weeks : int
        For how many weeks load and queues are counted one by one, from 1; what comes
        later is counted with the last.
    """

    stations: tuple[Station, ...]
    jobs: tuple[Job, ...]
    instruments: tuple[Instrument, ...]
    rule: Rule = Rule.FIRST_COME
    most_turns: int = 3
    weeks: int = 52

    def __post_init__(self) -> None:
        """Refuse what is out of its range."""
        if not 0 <= self.most_turns <= 60:
            raise ValueError(f"most_turns must be from 0 to 60, got {self.most_turns}")
        if not self.weeks >= 1:
            raise ValueError(f"weeks must be at least 1, got {self.weeks!r}")
