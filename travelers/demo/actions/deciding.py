"""Who is asked when something is wrong, and what do they decide?"""

from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from travelers.demo import queries
from travelers.demo.actions.living import Floor
from travelers.demo.actions.ordering import Office
from travelers.demo.actions.planting import Planted
from travelers.demo.rules import sayings, tasks
from travelers.demo.rules.agenda import Process
from travelers.demo.rules.crew import HOLDERS, LEADS, PLANNERS, QA
from travelers.demo.rules.judgement import (
    KindSaid,
    decision_of,
    severity_of,
    way_back,
)
from travelers.demo.rules.plan import WORKDAY
from travelers.demo.rules.tasks import Task
from travelers.floor.actions import record
from travelers.floor.queries import may_be_made_anew
from travelers.floor.rules import Bench, Wish
from travelers.kit.refusals import Refusal
from travelers.orders.models import Part
from travelers.orders.rules import InstrumentState
from travelers.quality.actions import decide, report_defect, verify
from travelers.quality.models import Defect
from travelers.quality.queries import reworks_to_verify, stands_at
from travelers.quality.rules import Decision, Severity
from travelers.routes.rules import Branch, OperationKind
from travelers.shop.models import Person

# Of all steps of work, inspection and joining, so many find a defect.
FOUND_AT_WORK, FOUND_AT_INSPECTION, FOUND_AT_COAT = 0.013, 0.06, 0.006
# Of what was done again, so much is looked at on any round.
LOOKED_AT = 0.7
# Under the lamp and the wheel a finish shows what it hid before.
FOUND_IN_THE_SHINE = 0.14


@dataclass(frozen=True, slots=True)
class Report:
    """A defect that was put on record: whose decision the hand now waits for."""

    event_id: UUID
    kind: KindSaid
    severity: Severity

    @property
    def goes_on(self) -> bool:
        return self.severity is Severity.MINOR


class Deciders:
    """Leads, who let pass, and QA, who holds and decides."""

    def __init__(self, floor: Floor, planted: Planted, office: Office) -> None:
        self._floor = floor
        self._planted = planted
        self._office = office
        self._decided: Counter[str] = Counter()
        self._kinds: dict[tuple[str, str], list[KindSaid]] = defaultdict(list)
        for row in queries.fixture(name="defects")["kinds"]:
            kind = KindSaid(row["code"], row["usual"])
            for stage in row["stages"]:
                for branch in row["branches"]:
                    self._kinds[stage, branch].append(kind)

    def asked(self, task: Task, refusal: Refusal) -> None:
        """Answer a hand who was refused: what can wait or be let pass comes back."""
        if refusal.may_allow:
            self._floor.agenda.start(self._let_pass(task, refusal), self._floor.now)
        elif refusal.code == "floor.held":
            self._floor.queue(task)

    def _let_pass(self, task: Task, refusal: Refusal) -> Process:
        floor = self._floor
        stage = floor.shop.stations[task.station].stage.code
        lead = floor.shop.people[LEADS[stage]]
        asked_for = floor.chances.minutes("lead", 5, 70)
        yield floor.shop.day_shift.after(floor.now, asked_for)
        if tasks.is_due(task, floor.benches[task.instrument_id]):
            reasons = sayings.ALLOWED.get(refusal.code, sayings.ALLOWED_ELSE)
            floor.scan(
                Wish.ALLOW,
                task,
                by=lead,
                gate=refusal.code,
                reason=floor.chances.one_of("allowed", reasons),
            )
            floor.queue(task)

    def look(self, task: Task, by: Person, *, surely: bool = False) -> Report | None:
        """Report a defect that a hand found on what lies before it, if there is one."""
        kind = self._kind_found(task, surely=surely)
        if kind is None:
            return None
        chance = self._floor.chances.of("defects")
        severity = severity_of(kind, chance)
        verdict = report_defect(
            step_id=task.step.id,
            station=self._floor.place(task.station),
            person=by,
            event_id=self._floor.chances.event_id(),
            at=self._floor.now,
            heard_at=self._floor.now,
            kind_code=kind.code,
            x=Decimal(round(chance.uniform(0.08, 0.92), 3)).quantize(Decimal("0.001")),
            y=Decimal(round(chance.uniform(0.10, 0.90), 3)).quantize(Decimal("0.001")),
            severity=severity,
            note=chance.choice(sayings.FOUND),
        )
        self._floor.hear(verdict)
        if verdict.refusal:
            return None
        if severity is Severity.STOP:
            self._floor.look_again(task.instrument_id)
        report = Report(verdict.event_id, kind, severity)
        self._floor.agenda.start(self._qa_decides(task, report), self._floor.now)
        return report

    def _kind_found(self, task: Task, *, surely: bool) -> KindSaid | None:
        floor, line = self._floor, task.line
        stage = floor.shop.stations[task.station].stage.code
        kinds = self._kinds[stage, line.branch]
        if code := self._planted.defect_of(task):
            return next(kind for kind in kinds if kind.code == code)
        share = FOUND_AT_WORK if line.times == 1 else FOUND_AT_COAT
        if line.kind is OperationKind.INSPECT:
            share = FOUND_AT_INSPECTION
        if stage == "POLISHING":
            share = FOUND_IN_THE_SHINE
        if not kinds or not (surely or floor.chances.happens("defects", share)):
            return None
        return floor.chances.one_of("defects", kinds)

    def _qa_decides(self, task: Task, report: Report) -> Process:
        """Decide some workdays later, and let a hand go on who waits for it."""
        floor, chance = self._floor, self._floor.chances.of("decisions")
        workdays = chance.uniform(0.3, 2.5) if chance.random() < 0.85 else 8.0
        yield floor.shop.day_shift.after(floor.now, workdays * WORKDAY)
        if floor.benches[task.instrument_id].state is not InstrumentState.OPEN:
            return
        self._decide(report)
        bench = floor.look_again(task.instrument_id)
        left = replace(task, wish=Wish.FINISH)
        if not report.goes_on and tasks.is_due(left, bench):
            floor.queue(left)

    def _decide(self, report: Report) -> None:
        floor, chance = self._floor, self._floor.chances.of("decisions")
        defect = Defect.objects.get(event__event_id=report.event_id)
        usual = report.kind.usual
        decision = decision_of(
            report.kind, report.severity, self._decided[usual], chance
        )
        self._decided[usual] += 1
        if decision is Decision.REPLACE and not may_be_made_anew(part=defect.part):
            decision = Decision.REWORK
        from_id = None
        if decision is Decision.REWORK:
            from_id = way_back(stands_at(defect=defect).ways_back, report.kind, chance)
            decision = decision if from_id else Decision.USE_AS_IS
        decide(
            defect_id=defect.pk,
            decision=decision,
            by=floor.shop.people[floor.chances.one_of("decisions", QA)],
            at=floor.now,
            reason=chance.choice(sayings.DECIDED[decision]),
            from_operation_id=from_id,
        )
        if decision is Decision.REPLACE:
            at = floor.shop.day_shift.after(floor.now, WORKDAY / 2)
            floor.agenda.start(self._give_wood(defect.part), at)

    def _give_wood(self, old: Part) -> Process:
        """Let a planner choose wood for the part that is made instead of another."""
        floor, new = self._floor, Part.objects.get(instead_of=old)
        if new.wants_wood:
            day = floor.shop.day_shift.day_of(floor.now)
            own = self._office.take_set(part=new, on=day)
            by = floor.shop.people[floor.chances.one_of("planner", PLANNERS)]
            self._say(Wish.WOOD, new.code, by, set=own)
            floor.wood |= queries.wood_of_order(order_id=new.instrument.order_id)
        floor.look_at(part_code=new.code)
        yield None

    def look_at_reworks(self) -> Process:
        """Look every other workday at what was done again, and find most of it good."""
        floor, chance = self._floor, self._floor.chances.of("verified")
        while True:
            yield floor.shop.day_shift.after(floor.now, 2 * WORKDAY)
            for rework in reworks_to_verify():
                if chance.random() < LOOKED_AT:
                    by = floor.shop.people[chance.choice(QA)]
                    verify(defect_id=rework.defect_id, by=by, at=floor.now)

    def hold_now_and_then(self, busy_from: datetime) -> Process:
        """Hold an instrument or a part of it every workday or so."""
        floor, chance = self._floor, self._floor.chances.of("holds")
        while True:
            usual = WORKDAY if floor.now < busy_from else WORKDAY / 3
            rests = usual * chance.uniform(0.5, 2)
            yield floor.shop.day_shift.after(floor.now, rests)
            free = [bench for bench in floor.benches.values() if _can_be_held(bench)]
            if free:
                self._hold(chance.choice(free))

    def _hold(self, bench: Bench) -> None:
        """Hold a part of an instrument or all of it, and lift that some days later."""
        floor, chance = self._floor, self._floor.chances.of("holds")
        parts = [part for part in bench.parts if bench.current(part.id)]
        apart = [part for part in parts if part.branch is not Branch.ASSEMBLY]
        part = chance.choice(apart or parts)
        by = floor.shop.people[chance.choice(HOLDERS)]
        hold_id = self._say(
            Wish.HOLD,
            part.code,
            by,
            reason=chance.choice(sayings.HELD),
            only_part=bool(apart) and chance.random() < 0.6,
        )
        lies = chance.uniform(1, 12) * WORKDAY
        at = floor.shop.day_shift.after(floor.now, lies)
        floor.agenda.start(self._lift(part.code, by, hold_id), at)

    def _lift(self, code: str, by: Person, hold_id: UUID) -> Process:
        reason = self._floor.chances.one_of("lifts", sayings.LIFTED)
        self._say(Wish.LIFT, code, by, hold=str(hold_id), reason=reason)
        self._floor.call_all()
        yield None

    def _say(self, wish: Wish, code: str, by: Person, **data: object) -> UUID:
        """Record what is said at a desk, of a part by its tag."""
        event_id = self._floor.chances.event_id()
        verdict = record(
            wish=wish,
            code=code,
            station=None,
            person=by,
            event_id=event_id,
            at=self._floor.now,
            heard_at=self._floor.now,
            data=data,
        )
        self._floor.hear(verdict)
        return event_id


def _can_be_held(bench: Bench) -> bool:
    return bench.state is InstrumentState.OPEN and bench.held_at is None
