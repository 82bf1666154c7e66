"""What does a hand do at its stations, from the start of the shift to its end?"""

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from travelers.demo.actions import measuring, mishaps
from travelers.demo.actions.deciding import Deciders
from travelers.demo.actions.living import Floor
from travelers.demo.actions.supplying import Supplies
from travelers.demo.rules import tasks
from travelers.demo.rules.agenda import Process
from travelers.demo.rules.hours import Hours
from travelers.demo.rules.tasks import Task
from travelers.floor.rules import State, Wish
from travelers.floor.rules.reasons import (
    WOOD_LAY_TOO_LONG,
    WOOD_TOO_WET,
    WOOD_UNREAD,
)
from travelers.shop.models import Person

# No more comes out of a holding place than the next bench can take.
MOST_BEFORE_A_BENCH = 6
# Near the end of the shift nothing is begun that would lie open over night; nearly
# nothing, for somebody always does.
STILL_BEGINS = 0.25
# Without network a tablet keeps a scan and sends it later.
NO_NETWORK = 0.012
# A hand who looks through the rack overlooks the tag of a hold.
SCANNED_THOUGH_HELD = 0.01
MEASURED_AGAIN, ASKED_THE_LEAD = 0.50, 0.35
SECONDS = timedelta(seconds=6)
# Wood that is refused for these is read once more.
WOOD = (WOOD_UNREAD.code, WOOD_TOO_WET.code, WOOD_LAY_TOO_LONG.code)


@dataclass(frozen=True)
class Hand:
    """Somebody at work: where, in which hours, and how long between two jobs."""

    person: Person
    hours: Hours
    stations: tuple[str, ...]
    pause: timedelta
    # The history's end finds at work who has work: a job is begun shortly before.
    last_start: datetime


class Hands:
    """All hands of the shop, each going on by the agenda."""

    def __init__(self, floor: Floor, deciders: Deciders) -> None:
        self._floor = floor
        self._deciders = deciders
        self._supplies = Supplies(floor)
        # What was left in the clamps of a bench: the steps, with their instruments.
        self._clamped: dict[str, dict[int, int]] = defaultdict(dict)

    def set_to_work(self, hand: Hand) -> None:
        process = self._work(hand)
        for station in hand.stations:
            self._floor.called[station].append(process)
        self._floor.agenda.start(process, hand.hours.open_from(self._floor.now))

    def _work(self, hand: Hand) -> Process:
        floor = self._floor
        while True:
            yield hand.hours.open_from(floor.now)
            task = self._choose(hand)
            if task is None:
                yield None
                continue
            floor.queues[task.station].remove(task)
            if task.wish is Wish.START:
                floor.at_work[task.station] += 1
                yield from self._start(hand, task)
                floor.at_work[task.station] -= 1
            elif task.wish is Wish.FINISH:
                yield from self._finish(hand, task)
            else:
                yield from self._move(hand, task)
            yield self._goes_on_at(hand, task)

    def _goes_on_at(self, hand: Hand, task: Task) -> datetime:
        """Say when a hand looks for work again; at the end all do."""
        at = hand.hours.after(self._floor.now, self._pause(hand, task))
        return self._or_at_last(hand, at)

    def _or_at_last(self, hand: Hand, at: datetime) -> datetime:
        if self._floor.now < hand.last_start < at:
            return hand.last_start
        return at

    def _pause(self, hand: Hand, task: Task) -> timedelta:
        if task.wish in (Wish.LOAD, Wish.TAKE_OUT):
            return self._floor.chances.minutes("pause", 2, 9)
        if self._is_hot(hand):
            return self._floor.chances.minutes("pause", 1, 6)
        long = self._floor.chances.of("pause").gammavariate(2, 0.5)
        return max(timedelta(minutes=2), hand.pause * long)

    def _is_hot(self, hand: Hand) -> bool:
        """Say whether something at the hand's stations cannot wait for a pause."""
        return any(
            task.ends_at is not None and task.ends_at - self._floor.now < tasks.HOT
            for station in hand.stations
            for task in self._floor.queues[station]
        )

    def _choose(self, hand: Hand) -> Task | None:
        """Take what is most urgent, else what has waited longest."""
        there: list[Task] = []
        for station in hand.stations:
            queue = self._floor.queues[station]
            gone = [task for task in queue if not self._is_due(task)]
            for task in gone:
                queue.remove(task)
                self._floor.forget(task)
            there += [task for task in queue if self._can_begin(task)]
        return min(there, key=lambda task: task.rank(self._floor.now), default=None)

    def _is_due(self, task: Task) -> bool:
        return tasks.is_due(task, self._floor.benches[task.instrument_id])

    def _can_begin(self, task: Task) -> bool:
        bench = self._floor.benches[task.instrument_id]
        if tasks.is_held(task, bench):
            return self._floor.chances.happens("held", SCANNED_THOUGH_HELD)
        if task.wish is Wish.TAKE_OUT and not self._floor.may_leave(task):
            return False
        if task.wish is Wish.TAKE_OUT and task.line.shortest_dwell >= tasks.LONG_HOLD:
            after = self._floor.codes.get(tasks.next_station_id(bench, task.step) or 0)
            return after is None or self._has_room(after)
        if task.wish is Wish.START:
            return self._places_free(task.station) > 0
        return True

    def _places_free(self, station: str) -> int:
        clamped = sum(
            step is not None and step.state is State.DWELLING
            for step_id, instrument_id in self._clamped[station].items()
            for step in [self._floor.benches[instrument_id].step(step_id)]
        )
        places = self._floor.shop.stations[station].places
        return places - clamped - self._floor.at_work[station]

    def _has_room(self, station: str) -> bool:
        waiting = self._floor.queues[station]
        return sum(t.wish is Wish.START for t in waiting) < MOST_BEFORE_A_BENCH

    def _move(self, hand: Hand, task: Task | None) -> Process:
        """Load or take out, scan after scan, all that waits for the same."""
        floor = self._floor
        together: dict[str, Any] = {}
        if task is not None and task.wish is Wish.LOAD:
            together["load"] = str(floor.chances.event_id())
        while task is not None:
            verdict = floor.scan(task.wish, task, by=hand.person, **together)
            if verdict.refusal:
                self._deciders.asked(task, verdict.refusal)
            self._clamped[task.station].pop(task.step.id, None)
            yield floor.now + SECONDS
            if hand.hours.open_from(floor.now) > floor.now:
                return
            task = self._next_like(task)

    def _next_like(self, task: Task) -> Task | None:
        queue = self._floor.queues[task.station]
        alike = (
            other
            for other in queue
            if other.wish is task.wish
            and self._is_due(other)
            and self._can_begin(other)
        )
        found = next(alike, None)
        if found is not None:
            queue.remove(found)
        return found

    def _start(self, hand: Hand, task: Task) -> Process:
        floor = self._floor
        work = task.line.planned * floor.chances.of("work").uniform(0.95, 1.7)
        too_late = hand.hours.left(floor.now) < work * 0.8
        begins = floor.now >= hand.last_start or floor.chances.happens(
            "begins", STILL_BEGINS
        )
        if too_late and not begins:
            floor.queues[task.station].append(task)
            yield self._or_at_last(hand, floor.now + hand.hours.left(floor.now))
            return
        self._supplies.before_starting(task, hand.person)
        yield from mishaps.before_starting(floor, task, hand.person)
        verdict = floor.scan(Wish.START, task, by=hand.person)
        if verdict.refusal and verdict.refusal.code in WOOD:
            floor.read_again(task)
            yield floor.now + SECONDS
            verdict = floor.scan(Wish.START, task, by=hand.person)
        if verdict.refusal:
            self._deciders.asked(task, verdict.refusal)
            return
        yield hand.hours.after(floor.now, work)
        yield from self._mate(hand, task)
        for serial in self._supplies.serials(task):
            floor.scan(Wish.USE, task, by=hand.person, serial=serial)
            yield floor.now + SECONDS
        yield from self._check(hand, task)

    def _mate(self, hand: Hand, task: Task) -> Process:
        floor = self._floor
        for tag in measuring.mates(floor, task):
            if wrong := mishaps.wrong_mate(floor, task):
                floor.scan(Wish.MATE, task, by=hand.person, mate=wrong)
                yield floor.now + SECONDS
            floor.scan(Wish.MATE, task, by=hand.person, mate=tag)
            yield floor.now + SECONDS

    def _check(self, hand: Hand, task: Task) -> Process:
        """Measure, look for what is wrong, and call it done if it is right."""
        floor = self._floor
        measured = measuring.measure(floor, task)
        if measured.readings:
            if mishaps.forgets(floor):
                floor.scan(Wish.FINISH, task, by=hand.person)
                yield floor.now + SECONDS
            floor.scan(Wish.READ, task, by=hand.person, readings=measured.readings)
            yield floor.now + SECONDS
        report = self._deciders.look(task, hand.person)
        if report and not report.goes_on:
            return
        if measured.out:
            yield from self._out_of_tolerance(hand, task, measured)
        else:
            yield from self._finish(hand, task)

    def _out_of_tolerance(
        self, hand: Hand, task: Task, measured: measuring.Measured
    ) -> Process:
        """Try to call it done, be refused, and do one of the three things it says."""
        floor = self._floor
        verdict = floor.scan(Wish.FINISH, task, by=hand.person)
        yield floor.now + SECONDS
        chance = floor.chances.of("out of tolerance").random()
        if verdict.refusal is None:
            return
        if chance < MEASURED_AGAIN:
            again = measuring.measure_again(floor, task, measured.out)
            floor.scan(Wish.READ, task, by=hand.person, readings=again.readings)
            yield floor.now + SECONDS
            yield from self._finish(hand, task)
        elif chance < MEASURED_AGAIN + ASKED_THE_LEAD:
            self._deciders.asked(replace(task, wish=Wish.FINISH), verdict.refusal)
        else:
            report = self._deciders.look(task, hand.person, surely=True)
            if report is None or report.goes_on:
                self._deciders.asked(replace(task, wish=Wish.FINISH), verdict.refusal)

    def _finish(self, hand: Hand, task: Task) -> Process:
        floor, late = self._floor, timedelta(0)
        if floor.chances.happens("no network", NO_NETWORK):
            late = floor.chances.minutes("no network", 4, 40)
            yield floor.now + late
        verdict = floor.scan(Wish.FINISH, task, by=hand.person, late=late)
        if verdict.refusal:
            self._deciders.asked(replace(task, wish=Wish.FINISH), verdict.refusal)
            return
        self._supplies.after_ending(task)
        if task.line.shortest_dwell:
            self._clamped[task.station][task.step.id] = task.instrument_id
        yield floor.now + SECONDS
