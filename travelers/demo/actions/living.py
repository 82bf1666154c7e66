"""What lies where while the months go by, and who is called to it?

Nothing is written here but through the ledger's own door; what the door answers is
all that is known.
"""

from collections import Counter, defaultdict
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from travelers.demo.actions.setting_up import Shop
from travelers.demo.queries import Wood
from travelers.demo.rules import tasks
from travelers.demo.rules.agenda import Agenda, Process
from travelers.demo.rules.chances import Chances
from travelers.demo.rules.tasks import Task
from travelers.demo.rules.values import Readings
from travelers.floor import queries as on_floor
from travelers.floor.actions import Verdict, record
from travelers.floor.rules import Bench, StepNow, Wish
from travelers.floor.rules.facts import Place
from travelers.orders.rules import InstrumentState
from travelers.routes.rules import Line
from travelers.shop.models import Person

# The tablet's message takes so long to the server.
ON_THE_WAY = timedelta(milliseconds=400)


class Floor:
    """The floor as somebody knows it who sees every scan's answer."""

    def __init__(self, shop: Shop, chances: Chances, agenda: Agenda) -> None:
        self.shop = shop
        self.chances = chances
        self.agenda = agenda
        self.readings = Readings(chances.of("readings"))
        self.benches: dict[int, Bench] = {}
        self.wood: dict[int, Wood] = {}
        self.queues: dict[str, list[Task]] = defaultdict(list)
        self.at_work: Counter[str] = Counter()
        self.called: dict[str, list[Process]] = defaultdict(list)
        self.carry: Callable[[Bench, StepNow, Line, Wish], Process]
        # Whether wood was read dry enough to leave its room, and how it is read again.
        self.may_leave: Callable[[Task], bool]
        self.read_again: Callable[[Task], None]
        self.codes = {place.pk: code for code, place in shop.stations.items()}
        self._known: set[tuple[int, Wish]] = set()
        self._places: dict[str, Place] = {}

    @property
    def now(self) -> datetime:
        return self.agenda.now

    def place(self, code: str) -> Place:
        """Give a station; what lies in a holding one is counted afresh."""
        known = self._places.get(code)
        if known is None or not known.attended:
            found = on_floor.find_place(code=code)
            assert found is not None  # noqa: S101 - the demo's own station
            known = self._places[code] = found
        return known

    def wood_of(self, task: Task) -> Wood | None:
        part = self.benches[task.instrument_id].part(task.step.part_id)
        return self.wood.get(part.plank_set_id or 0)

    def scan(
        self,
        wish: Wish,
        task: Task,
        *,
        by: Person,
        station: str | None = None,
        step_id: int | None = None,
        late: timedelta = timedelta(0),
        **data: Any,
    ) -> Verdict:
        """Record what a hand wishes now, or wished ``late`` ago without network."""
        verdict = record(
            wish=wish,
            code=task.code,
            step_id=step_id or task.step.id,
            station=self.place(station or task.station),
            person=by,
            event_id=self.chances.event_id(),
            at=self.now - late,
            heard_at=self.now + ON_THE_WAY,
            data=data,
        )
        self.hear(verdict)
        return verdict

    def hear(self, verdict: Verdict) -> None:
        if verdict.accepted and verdict.bench:
            self.learn(verdict.bench)

    def look_at(self, *, part_code: str) -> Bench:
        """Read an instrument anew: just released, or decided about by somebody."""
        found = on_floor.find_bench(code=part_code)
        assert found is not None  # noqa: S101 - the demo's own part
        bench = on_floor.bench_of(found=found)
        self.learn(bench)
        self.call_all()
        return bench

    def look_again(self, instrument_id: int) -> Bench:
        return self.look_at(part_code=self.benches[instrument_id].parts[0].code)

    def learn(self, bench: Bench) -> None:
        """Take note of an instrument and carry on what became ready."""
        self.benches[bench.instrument_id] = bench
        if bench.state is not InstrumentState.OPEN:
            return
        for part in bench.parts:
            step = bench.current(part.id)
            if step is None:
                continue
            line = bench.route.by_id[step.operation_id]
            wish = tasks.wish_for(step, line)
            if wish and (step.id, wish) not in self._known:
                self._known.add((step.id, wish))
                self.agenda.start(self.carry(bench, step, line, wish), self.now)

    def forget(self, task: Task) -> None:
        """Let a step be carried on anew that is not what it was when it was queued.

        A join waits again while one of its parts is sent back.
        """
        self._known.discard((task.step.id, task.wish))
        self.learn(self.benches[task.instrument_id])

    def queue(self, task: Task) -> None:
        """Let a task wait at its station and call who sleeps there."""
        self.queues[task.station].append(task)
        for hand in self.called[task.station]:
            self.agenda.wake(hand)

    def call_all(self) -> None:
        for hands in self.called.values():
            for hand in hands:
                self.agenda.wake(hand)
