"""What does a station's screen show of the part that was scanned there?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

from django.utils import timezone

from travelers.floor.queries.asking import Question, questions_of
from travelers.floor.queries.benches import held_of, mates_of
from travelers.floor.queries.judging import judge_step
from travelers.floor.queries.materials import (
    batch_faults_of,
    batches_at_hand,
    batches_to_take,
)
from travelers.floor.queries.skills import is_qualified
from travelers.floor.queries.wood import wood_fault
from travelers.floor.rules import reasons
from travelers.floor.rules.bench import LOOKS, About, Bench, PartNow, StepNow, pick
from travelers.floor.rules.facts import Held, Notes, Place, due, facts_of, why_closed
from travelers.floor.rules.machine import State, Wish, wish_next
from travelers.floor.rules.materials import AtHand
from travelers.formulas.cards import REASONS, Command
from travelers.kit.drawing.marks import Look as Drawn
from travelers.kit.drawing.outlines import SHAPES
from travelers.kit.refusals import Refusal
from travelers.orders.rules import InstrumentState, Look
from travelers.routes.rules import Branch, Check, Line, OperationKind
from travelers.shop.models import Person

NOTHING_NOTED = Notes()
# What only time puts right.
OPENED_BY_TIME = (reasons.STILL_DWELLING.code, reasons.TOO_SOON.code)


@dataclass(frozen=True, slots=True)
class CheckLine:
    """A check that the operation needs, and how far it is."""

    check: Check
    done: int
    out: int
    next_place: int
    overdue: bool = False

    @property
    def is_open(self) -> bool:
        return self.done < self.check.places


@dataclass(frozen=True, slots=True)
class MateLine:
    """A part or piece that a join asks for."""

    code: str
    words: str
    scanned: bool
    branch: Branch | None = None


@dataclass(frozen=True, slots=True)
class BatchLine:
    """A material that the operation uses of a batch, and the one that stands here."""

    material: str
    batch: AtHand | None
    fault: Refusal | None
    # Those that could be taken instead, the newest first.
    others: tuple[AtHand, ...] = ()


@dataclass(frozen=True, slots=True)
class SerialLine:
    """Pieces whose serial numbers are scanned, and those that were."""

    material: str
    pieces: int
    scanned: tuple[str, ...]

    @property
    def is_open(self) -> bool:
        return len(set(self.scanned)) < self.pieces


@dataclass(frozen=True, slots=True)
class Press:
    """The one wide button; with a refusal it is greyed and says why."""

    wish: Wish
    refusal: Refusal | None
    may_pass: bool


@dataclass(frozen=True, slots=True)
class LetPass:
    """A gate that somebody opened for this step, and why."""

    refusal: Refusal
    reason: str


@dataclass(frozen=True, slots=True)
class Scene:
    """One part at one station: what it is, what is to be done, what may be done."""

    serial: str
    about: About
    part: PartNow
    look: str
    step: StepNow | None = None
    line: Line | None = None
    operation: str = ""
    notes: Notes = NOTHING_NOTED
    checks: tuple[CheckLine, ...] = ()
    mates: tuple[MateLine, ...] = ()
    batches: tuple[BatchLine, ...] = ()
    serials: tuple[SerialLine, ...] = ()
    press: Press | None = None
    let_pass: tuple[LetPass, ...] = ()
    questions: tuple[Question, ...] = ()
    closed: Refusal | None = None
    is_here: bool = True

    @property
    def waits_for(self) -> tuple[str, ...]:
        """Name the gates that somebody asked about and nobody answered yet."""
        return tuple(one.gate for one in self.questions if not one.declined)

    @property
    def reasons(self) -> tuple[Command, ...]:
        """Give the common reasons for a hold, to be touched or scanned."""
        return REASONS

    @property
    def picture(self) -> str:
        """Name the drawing of the operation, where there is one of this shape."""
        drawn = self.line is not None and self.about.shape in SHAPES
        return self.line.picture if drawn and self.line else ""

    @property
    def can_check(self) -> bool:
        """Say whether readings may be taken now."""
        if self.step is None or self.line is None or not self.is_here:
            return False
        return self.step.state is State.RUNNING or (
            self.step.state is State.DWELLING and self.line.kind is OperationKind.HOLD
        )

    @property
    def next_check(self) -> CheckLine | None:
        """Give the check to do now; what has to be joined is joined first."""
        if not self.can_check or self.joins_now or self.takes_serials:
            return None
        return next((line for line in self.checks if line.is_open), None)

    @property
    def joins_now(self) -> bool:
        """Say whether a scan at this station means a mate."""
        return (
            self.step is not None
            and self.step.state is State.RUNNING
            and any(not mate.scanned for mate in self.mates)
        )

    @property
    def takes_serials(self) -> bool:
        """Say whether a scan at this station means a serial number."""
        return (
            self.step is not None
            and self.step.state is State.RUNNING
            and self.is_here
            and not self.joins_now
            and any(line.is_open for line in self.serials)
        )

    @property
    def serial_wanted(self) -> str:
        """Name the material whose serial number a scan means."""
        return next((line.material for line in self.serials if line.is_open), "")

    @property
    def opens_at(self) -> datetime | None:
        """Say when the time is over that alone stands in the way of the press."""
        refusal = self.press.refusal if self.press else None
        if refusal is None or refusal.code not in OPENED_BY_TIME:
            return None
        return datetime.fromisoformat(refusal.words["until_at"])

    @property
    def lies_until(self) -> datetime | None:
        if self.step is None or self.step.state is not State.DWELLING:
            return None
        return self.step.dwell_until


def scene_of(
    *,
    bench: Bench,
    place: Place,
    person: Person,
    at: datetime,
    part_id: int,
    step_id: int | None = None,
    left: int | None = None,
) -> Scene:
    """Show a step of an instrument, or what a scan of the part means here.

    ``left`` is the step that was ended just now: what it opened is untouched.
    """
    step = bench.step(step_id) if step_id else None
    step = step or pick(bench, part_id, station_id=place.id, stage_id=place.stage_id)
    if step is None or bench.state is not InstrumentState.OPEN:
        return _closed(bench, bench.part(part_id))
    untouched = left is not None and step.id != left and step.ready_at == at
    return _scene(bench, step, place, person, at, untouched=untouched)


def _closed(bench: Bench, part: PartNow) -> Scene:
    refusal = why_closed(bench, part.id)
    scrapped = bench.state is InstrumentState.SCRAPPED or part.scrapped_at
    look = Drawn.SCRAPPED if scrapped else Drawn.DONE
    return Scene(bench.serial, _about(bench), part, look, closed=refusal)


def _scene(
    bench: Bench,
    step: StepNow,
    place: Place,
    person: Person,
    at: datetime,
    *,
    untouched: bool,
) -> Scene:
    line = bench.route.by_id[step.operation_id]
    held = held_of(bench=bench, step=step)
    mates = mates_of(bench=bench, step=step)
    wish = wish_next(step.state, line.kind)
    hand = _at_hand(line, step, place, at)
    facts_with = partial(
        facts_of,
        bench,
        step,
        station=place,
        person=str(person),
        roles=frozenset(person.roles),
        held=held,
        mates=mates,
        **_looked_up(bench, step, wish, place, person, at, hand),
    )
    answer, notes = judge_step(
        wish=wish,
        step=step,
        line=line,
        facts_with=facts_with,
        at=at,
        untouched=untouched,
    )
    refusal = answer if isinstance(answer, Refusal) else None
    return Scene(
        serial=bench.serial,
        about=_about(bench),
        part=bench.part(step.part_id),
        look=_look(step, held),
        step=step,
        line=line,
        operation=bench.title(step),
        notes=notes,
        **_lines(bench, line, step, notes, mates, hand, at),
        is_here=place.does(step) or reasons.NOT_HERE.code in notes.passes,
        press=Press(wish, refusal, may_pass(refusal, person)),
        let_pass=_let_pass(notes),
        questions=questions_of(notes=notes),
    )


def _lines(
    bench: Bench,
    line: Line,
    step: StepNow,
    notes: Notes,
    mates: Mapping[str, str],
    hand: Mapping[int, AtHand],
    at: datetime,
) -> dict[str, Any]:
    """List what the operation checks, joins and uses, and how far each is."""
    return {
        "checks": tuple(
            _check_line(check, notes) for check in due(line, bench.position)
        ),
        "mates": _mate_lines(bench, mates, notes),
        "batches": _batch_lines(line, step, hand, at),
        "serials": tuple(
            SerialLine(need.material, need.pieces, notes.serials.get(need.id, ()))
            for need in line.serials
        ),
    }


def _looked_up(
    bench: Bench,
    step: StepNow,
    wish: Wish,
    place: Place,
    person: Person,
    at: datetime,
    hand: Mapping[int, AtHand],
) -> dict[str, Any]:
    """Look up what of person, wood and batches stands against a wish."""
    return {
        "qualified": is_qualified(bench=bench, step=step, person=person, at=at),
        "wood_fault": wood_fault(bench=bench, step=step, wish=wish, place=place, at=at),
        "batch_faults": batch_faults_of(
            bench=bench, step=step, wish=wish, place=place, at=at, hand=hand
        ),
    }


def may_pass(refusal: Refusal | None, person: Person) -> bool:
    """Say whether this person may let a gate pass."""
    return refusal is not None and any(person.has(role) for role in refusal.may_allow)


def _look(step: StepNow, held: Held | None) -> str:
    return Look.HELD if held else LOOKS[step.state]


def _check_line(check: Check, notes: Notes) -> CheckLine:
    taken = {
        place: notes.readings.get((check.id, place))
        for place in range(1, check.places + 1)
    }
    outside = [place for place, one in taken.items() if one and not one.inside]
    missing = [place for place, one in taken.items() if one is None]
    return CheckLine(
        check,
        done=check.places - len(missing),
        out=len(outside),
        next_place=next(iter([*missing, *outside]), 1),
        overdue=any(one is not None and one.overdue for one in taken.values()),
    )


def _mate_lines(
    bench: Bench, mates: Mapping[str, str], notes: Notes
) -> tuple[MateLine, ...]:
    branches = {part.code: part.branch for part in bench.parts}
    return tuple(
        MateLine(code, words, code in notes.mates, branches.get(code))
        for code, words in mates.items()
    )


def _at_hand(
    line: Line, step: StepNow, place: Place, at: datetime
) -> Mapping[int, AtHand]:
    """Give the batches that stand here; no query where none is used, or not now."""
    if not line.batches or step.state not in (State.READY, State.RUNNING):
        return {}
    return batches_at_hand(needs=line.batches, place=place, at=at)


def _batch_lines(
    line: Line, step: StepNow, hand: Mapping[int, AtHand], at: datetime
) -> tuple[BatchLine, ...]:
    if step.state not in (State.READY, State.RUNNING):
        return ()
    today = timezone.localdate(at)
    if not line.batches:
        return ()
    good = batches_to_take(
        material_ids=[need.material_id for need in line.batches], today=today
    )
    found = [
        (need, hand.get(need.material_id), good.get(need.material_id, ()))
        for need in line.batches
    ]
    return tuple(
        BatchLine(
            need.material,
            batch,
            batch.fault(today) if batch else None,
            tuple(one for one in those if one != batch),
        )
        for need, batch, those in found
    )


def _let_pass(notes: Notes) -> tuple[LetPass, ...]:
    return tuple(
        LetPass(Refusal.registry[one.gate], one.reason) for one in notes.passes.values()
    )


def _about(bench: Bench) -> About:
    assert bench.about is not None  # noqa: S101 - every bench that is read has it
    return bench.about
