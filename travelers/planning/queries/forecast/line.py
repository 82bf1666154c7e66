"""What does the floor look like to the forecast, as it stands?"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import cache, partial
from zoneinfo import ZoneInfo

from travelers.formulas import forecast as fc
from travelers.lumber import queries as lumber
from travelers.lumber.models import Room
from travelers.orders.rules import StepState
from travelers.planning.queries.drying import Forecast, forecasts
from travelers.planning.queries.forecast.calendar import (
    calendar,
    shifts_of,
)
from travelers.planning.queries.forecast.open_steps import Built, Chunk, built
from travelers.planning.queries.forecast.seen import Seen, seen
from travelers.planning.queries.forecast.standing import stands_at
from travelers.planning.queries.forecast.steps import Steps, beside
from travelers.routes.rules import Branch
from travelers.shop.models import Station

WEEKS = 52
# An order that a planner puts first goes before whatever is due, whenever.
FIRST = -100_000
ENDLESS = 1_000_000


@dataclass(frozen=True, slots=True)
class Changes:
    """What a planner tries: how the floor would differ from today's."""

    more_places: Mapping[str, int]
    longer_h: Mapping[str, float]
    out: Mapping[str, tuple[date, date]]
    first: frozenset[str] = frozenset()


AS_IT_IS = Changes({}, {}, {})


@dataclass(frozen=True, slots=True)
class FloorNow:
    """The floor made ready for the forecast, with what it was made of."""

    at: datetime
    line: fc.Line
    stations: tuple[Station, ...]
    seen: Seen
    built: tuple[Built, ...]
    drying: Mapping[int, Forecast]


def floor_now(
    *,
    at: datetime,
    zone: ZoneInfo,
    changes: Changes = AS_IT_IS,
    planned: Sequence[Built] = (),
) -> FloorNow:
    """Read the floor as it stands, and put beside it what is planned.

    1. Stations have their places, hours and closed days. Beside each lies a room
       without end, where parts wait as long as was waited though a place was free.
    2. Each open part stands at its step with what it has done; a held one waits first.
    3. Wood that lies has the day of its own forecast, other wood the times seen.
    4. What is due first is taken first, as the lists at the stations say.
    5. None is scrapped: what is, is off the floor for good; the days are of the others.
    """
    stations = list(Station.objects.order_by("code"))
    known = calendar(zone=zone)
    told = seen(stations=stations, known=known, at=at)
    drying = _drying(at)
    steps = Steps(
        told,
        frozenset(Room.objects.values_list("station_id", flat=True)),
        drying,
        at,
    )
    instruments = (*built(stations={one.pk: one for one in stations}), *planned)
    # Most stations have the hours of one shift.
    hours_of = cache(partial(known.ahead, at=at))
    jobs: list[fc.Job] = []
    for one in instruments:
        jobs += _Jobs(one, steps, at, _rank(one, zone, at, changes)).made()
    line = fc.Line(
        stations=tuple(
            made
            for one in stations
            for made in _stations(
                one,
                hours_of(shifts_of(one, known), out=changes.out.get(one.code)),
                changes,
            )
        ),
        jobs=tuple(jobs),
        instruments=tuple(
            fc.Instrument(one.serial, one.order, _due_s(one.due_on, zone, at))
            for one in instruments
        ),
        weeks=WEEKS,
    )
    for code, hours in sorted(changes.longer_h.items()):
        line = fc.with_longer_days(line, code, round(hours * 3600))
    return FloorNow(at, line, tuple(stations), told, instruments, drying)


def _stations(
    one: Station, hours: fc.Hours, changes: Changes
) -> tuple[fc.Station, fc.Station]:
    """Give a station, where what lies keeps its place, and the room beside it."""
    places = max(1, one.places + changes.more_places.get(one.code, 0))
    return (
        fc.Station(one.code, places, hours, is_holding=True),
        fc.Station(beside(one.code), ENDLESS, hours),
    )


def _drying(at: datetime) -> dict[int, Forecast]:
    found: dict[int, Forecast] = {}
    for climate in lumber.climates(at=at):
        found |= forecasts(climate=climate, at=at)
    return found


def _due_s(day: date, zone: ZoneInfo, at: datetime) -> float:
    """Give the end of the due day."""
    end = datetime.combine(day + timedelta(days=1), time(), tzinfo=zone)
    return (end - at).total_seconds()


def _rank(one: Built, zone: ZoneInfo, at: datetime, changes: Changes) -> int:
    days = (one.due_on - at.astimezone(zone).date()).days
    return FIRST + days if one.order in changes.first else days


@dataclass(frozen=True, slots=True)
class _Jobs:
    """Makes the jobs of one instrument."""

    built: Built
    steps: Steps
    at: datetime
    rank: int

    def made(self) -> list[fc.Job]:
        open_ones = {
            chunk.key: chunk for chunk in self.built.chunks if not chunk.is_done
        }
        return [self._job(chunk, open_ones) for chunk in open_ones.values()]

    def _name(self, key: tuple[Branch, int]) -> str:
        return f"{self.built.serial} {key[0]} {key[1]}"

    def _job(
        self, chunk: Chunk, open_ones: Mapping[tuple[Branch, int], Chunk]
    ) -> fc.Job:
        made, laid = self.steps.of(chunk, self.built)
        row = chunk.current
        at, done, spent = stands_at(
            row, laid[chunk.done], made, self.steps.seen.free[row.station.pk], self.at
        )
        joins = tuple(self._name(key) for key in chunk.joins if key in open_ones)
        begun = chunk.done > 0 or row.is_begun
        if joins and begun:
            # A mate was sent back: what is done already is not done again.
            first = laid[chunk.done].start
            made, done = _cut(made, first), 0
        held = self.built.held.get(row.part_id)
        if held and row.state is not StepState.DWELLING:
            made = _with(made, done, self.steps.held(held))
            at, spent = fc.At.WAITING, 0.0
        elif joins:
            at, spent = fc.At.WAITING, 0.0
        return fc.Job(
            self._name(chunk.key),
            self.built.serial,
            made,
            done=done,
            at=at,
            spent_s=spent,
            joins=joins,
            rank=self.rank,
        )


def _cut(steps: tuple[fc.Step, ...], done: int) -> tuple[fc.Step, ...]:
    """Leave out what is done; rework goes back no farther."""
    return tuple(
        replace(step, back_to=max(0, step.back_to - done)) for step in steps[done:]
    )


def _with(steps: tuple[fc.Step, ...], place: int, wait: fc.Step) -> tuple[fc.Step, ...]:
    """Put a wait in before a step."""
    moved = tuple(
        replace(step, back_to=step.back_to + 1) if step.back_to >= place else step
        for step in steps
    )
    return (*moved[:place], wait, *moved[place:])
