"""When does a part lie before the hand that does the next thing to it?"""

from dataclasses import replace
from datetime import datetime, timedelta

from travelers.demo.actions import mishaps
from travelers.demo.actions.living import Floor
from travelers.demo.rules import tasks
from travelers.demo.rules.agenda import Process
from travelers.demo.rules.tasks import Task
from travelers.floor.rules import Bench, StepNow, Wish
from travelers.routes.rules import Line, OperationKind


class Carriers:
    """Whoever brings parts from bench to bench."""

    def __init__(self, floor: Floor) -> None:
        self._floor = floor
        floor.carry = self.carry

    def carry(self, bench: Bench, step: StepNow, line: Line, wish: Wish) -> Process:
        """Wait until a part is where it is needed, and queue it there."""
        floor = self._floor
        station = floor.codes.get(step.station_id or 0) or self._rack_for(step, wish)
        task = Task(
            wish=wish,
            step=step,
            line=line,
            instrument_id=bench.instrument_id,
            code=bench.part(step.part_id).code,
            station=station,
            waits_since=floor.now,
            ends_at=tasks.ends_at(step, line),
        )
        there_at = self._there_at(bench, task)
        if opens_at := tasks.opens_at(step, line):
            yield from mishaps.too_early(floor, task, opens_at)
        yield there_at
        floor.queue(replace(task, waits_since=floor.now))

    def _rack_for(self, step: StepNow, wish: Wish) -> str:
        """Choose among the holding stations of a stage; it comes out where it lies."""
        racks = {
            station.pk: code
            for code, station in self._floor.shop.stations.items()
            if station.stage_id == step.stage_id and not station.attended
        }
        if wish is Wish.TAKE_OUT:
            return racks[step.at_station_id or 0]
        return max(racks.values(), key=lambda code: self._floor.place(code).places_free)

    def _there_at(self, bench: Bench, task: Task) -> datetime:
        """Say from when on a part lies before the hand that does something to it."""
        floor = self._floor
        opens_at = tasks.opens_at(task.step, task.line)
        if opens_at is None:
            return floor.shop.day_shift.after(floor.now, self._way(bench, task))
        if task.wish is Wish.START:
            return opens_at + floor.chances.minutes("hangs on", *tasks.HANGS_ON)
        if task.line.shortest_dwell < tasks.LONG_HOLD:
            return opens_at + floor.chances.minutes("out", 1, 20)
        lies_on = tasks.LIES_ON.get(self._stage_of(task), tasks.LIES_ON_ELSEWHERE)
        hours = replace(floor.shop.day_shift, weekdays=tasks.EMPTYING_DAYS)
        return hours.after(opens_at, self._hours("out", *lies_on))

    def _way(self, bench: Bench, task: Task) -> timedelta:
        """Say for how much of the shift a part is on its way."""
        line, chances = task.line, self._floor.chances
        if line.longest_gap and line.longest_gap < tasks.HOT:
            return timedelta(0)
        if tasks.begins_part(bench, task.step, line) and line.branch in tasks.BEGUN:
            return chances.minutes("begun", *tasks.BEGUN[line.branch])
        if line.kind is OperationKind.HOLD:
            return chances.minutes("load", 15, 180)
        least, most = tasks.CARRIED_SOON
        if line.longest_gap is None or line.longest_gap > tasks.SHORT_WINDOW:
            least, most = tasks.CARRIED.get(self._stage_of(task), tasks.CARRIED_SOON)
        return chances.minutes("carry", least, most)

    def _hours(self, name: str, least: float, most: float) -> timedelta:
        """Draw a span of which the short ones are likelier."""
        drawn = self._floor.chances.of(name).triangular(least, most, least)
        return timedelta(hours=drawn)

    def _stage_of(self, task: Task) -> str:
        return self._floor.shop.stations[task.station].stage.code
