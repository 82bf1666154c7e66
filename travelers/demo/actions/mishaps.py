"""What do hands scan that the shop refuses, and why does nothing come of it?"""

from datetime import datetime, timedelta

from travelers.demo.actions.living import Floor
from travelers.demo.actions.measuring import mates
from travelers.demo.rules.agenda import Process
from travelers.demo.rules.crew import PLANNERS, hands_at
from travelers.demo.rules.tasks import Task, is_due
from travelers.floor.actions import record
from travelers.floor.rules import Wish
from travelers.routes.rules import Joins
from travelers.shop.models import Person

# Of all scans that begin something, so many go wrong first.
WRONG_STATION, LATER_STEP, TORN_CODE, NOT_MINE = 0.007, 0.004, 0.002, 0.001
WRONG_MATE, OTHER_WOOD = 0.10, 0.05
FORGOTTEN = 0.012
TOO_EARLY = 0.012
SECONDS = timedelta(seconds=7)


def before_starting(floor: Floor, task: Task, by: Person) -> Process:
    """Scan something that is refused; the hand then does it right."""
    if floor.chances.happens("wrong station", WRONG_STATION):
        stations = [code for code, s in floor.shop.stations.items() if s.attended]
        other = floor.chances.one_of("wrong station", stations)
        if other != task.station:
            floor.scan(Wish.START, task, by=by, station=other)
            yield floor.now + SECONDS
    later = _later_step(floor, task)
    if later and floor.chances.happens("later step", LATER_STEP):
        floor.scan(Wish.START, task, by=by, step_id=later)
        yield floor.now + SECONDS
    if floor.chances.happens("torn code", TORN_CODE):
        _scan_torn(floor, task, by)
        yield floor.now + SECONDS
    if floor.chances.happens("not mine", NOT_MINE):
        floor.scan(Wish.START, task, by=floor.shop.people[PLANNERS[-1]])
        yield floor.now + SECONDS


def _later_step(floor: Floor, task: Task) -> int | None:
    """Find a step of the same part that comes later at the same station."""
    bench = floor.benches[task.instrument_id]
    return next(
        (
            step.id
            for step in bench.steps
            if step.part_id == task.step.part_id
            and step.position > task.step.position
            and step.station_id == task.step.station_id
        ),
        None,
    )


def _scan_torn(floor: Floor, task: Task, by: Person) -> None:
    floor.hear(
        record(
            wish=Wish.START,
            code=task.code[:-2],
            station=floor.place(task.station),
            person=by,
            event_id=floor.chances.event_id(),
            at=floor.now,
            heard_at=floor.now,
        )
    )


def wrong_mate(floor: Floor, task: Task) -> str | None:
    """Give a tag that lies near and belongs to another instrument, now and then."""
    bench = floor.benches[task.instrument_id]
    if task.line.joins is Joins.PIECES:
        near = [
            other
            for other in floor.queues[task.station]
            if other.line.joins is Joins.PIECES
        ]
        if not near or not floor.chances.happens("wrong mate", OTHER_WOOD):
            return None
        return floor.chances.one_of("wrong mate", mates(floor, near[0]))
    if not floor.chances.happens("wrong mate", WRONG_MATE):
        return None
    branch = bench.route.branches_joined_by(task.line)[-1]
    others = [other for other in floor.benches.values() if other is not bench]
    other = floor.chances.one_of("wrong mate", others)
    return other.part_of(branch).code


def forgets(floor: Floor) -> bool:
    return floor.chances.happens("forgotten", FORGOTTEN)


def too_early(floor: Floor, task: Task, opens_at: datetime) -> Process:
    """Scan a part that must lie on, an hour or less before its time; it lies on."""
    if not floor.chances.happens("too early", TOO_EARLY):
        return
    at = opens_at - floor.chances.minutes("too early", 5, 60)
    hours = floor.shop.day_shift
    if at <= floor.now or hours.open_from(at) != at:
        return
    yield at
    if is_due(task, floor.benches[task.instrument_id]):
        hand = floor.chances.one_of("too early", hands_at(task.station))
        floor.scan(task.wish, task, by=floor.shop.people[hand])
