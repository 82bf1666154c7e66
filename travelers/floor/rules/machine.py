"""What becomes of a step when somebody wishes something?

The whole machine is :data:`NEXT`; what is not in it is refused.  ``docs/states.md``
is drawn from it.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from travelers.floor.rules import anew, reasons
from travelers.formulas.cards import Command
from travelers.kit.refusals import Refusal
from travelers.orders.rules import InstrumentState, StepState
from travelers.routes.rules import OperationKind

if TYPE_CHECKING:
    from travelers.floor.rules.facts import Facts

State = StepState


class Wish(StrEnum):
    """What a person at a bench or a desk wants to be true; also an event's kind."""

    START = "START"
    FINISH = "FINISH"
    LOAD = "LOAD"
    TAKE_OUT = "TAKE_OUT"
    READ = "READ"
    MATE = "MATE"
    USE = "USE"
    DEFECT = "DEFECT"
    HOLD = "HOLD"
    LIFT = "LIFT"
    ALLOW = "ALLOW"
    ASK = "ASK"
    DECLINE = "DECLINE"
    UNDO = "UNDO"
    REWORK = "REWORK"
    SCRAP = "SCRAP"
    SWAP = "SWAP"
    REPLACE = "REPLACE"
    WOOD = "WOOD"


OPEN = (State.WAITING, State.READY, State.RUNNING, State.DWELLING)
FINISHING = (Wish.FINISH, Wish.TAKE_OUT)
BEGINNING = (Wish.START, Wish.LOAD)
# The clocks of a wall, a tablet and the server differ by so much; paper knows minutes.
CLOCKS_DIFFER = timedelta(minutes=2)

# For these a shop may ask for somebody qualified.
SKILLED = (Wish.START, Wish.LOAD, *FINISHING)

# (state, wish) -> new state.  FINISH leads to DWELLING where the part then lies
# clamped; the holding kinds are loaded and taken out, the others started.  UNDO
# keeps the state here: it gets what it has without the event that is taken back,
# which the fold of the others says.
NEXT: dict[tuple[State, Wish], State] = {
    (State.READY, Wish.START): State.RUNNING,
    (State.RUNNING, Wish.FINISH): State.DONE,
    (State.READY, Wish.LOAD): State.DWELLING,
    (State.DWELLING, Wish.TAKE_OUT): State.DONE,
    (State.RUNNING, Wish.READ): State.RUNNING,
    (State.DWELLING, Wish.READ): State.DWELLING,
    (State.RUNNING, Wish.MATE): State.RUNNING,
    (State.RUNNING, Wish.USE): State.RUNNING,
    **{
        (state, wish): state
        for state in OPEN
        for wish in (Wish.DEFECT, Wish.ALLOW, Wish.ASK, Wish.DECLINE)
    },
    (State.DONE, Wish.DEFECT): State.DONE,
    **{
        (state, wish): state
        for state in State
        for wish in (Wish.HOLD, Wish.LIFT, Wish.UNDO)
    },
    **{
        (state, wish): State.VOID
        for state in OPEN
        for wish in (Wish.REWORK, Wish.SCRAP, Wish.REPLACE)
    },
    **{
        (State.DONE, wish): State.DONE
        for wish in (Wish.REWORK, Wish.SCRAP, Wish.REPLACE)
    },
    # A part that is made anew gets its wood before anything of it can begin.
    (State.WAITING, Wish.WOOD): State.WAITING,
    # A part changes its instrument while nobody has it in hand.
    **{(state, Wish.SWAP): state for state in (State.WAITING, State.READY, State.DONE)},
}
# The card that presses the button of a wish.
CARD_OF = {
    Wish.START: Command.START,
    Wish.FINISH: Command.DONE,
    Wish.LOAD: Command.LOAD,
    Wish.TAKE_OUT: Command.TAKE_OUT,
}
# What stops a part that shall change its instrument.
IN_HAND = {
    State.RUNNING: reasons.SWAP_IN_WORK,
    State.DWELLING: reasons.SWAP_LIES,
}
# Whoever works may record; who decides is named.
BENCH = frozenset({"operator", "lead", "qa"})
DECIDERS = frozenset({"lead", "qa"})
MAY: dict[Wish, frozenset[str]] = {
    **dict.fromkeys(Wish, BENCH),
    **dict.fromkeys((Wish.LIFT, Wish.ALLOW, Wish.DECLINE), DECIDERS),
    Wish.REWORK: frozenset({"qa"}),
    Wish.SCRAP: frozenset({"qa"}),
    Wish.SWAP: frozenset({"qa"}),
    Wish.REPLACE: frozenset({"qa"}),
    Wish.WOOD: frozenset({"planner", "qa"}),
}
# A part that was scrapped lies aside: no wish is had of it but these.
OF_SCRAP = frozenset({Wish.LIFT, Wish.SCRAP})
# What is recorded about a part, rather than done to it, needs no turn in the
# route: it may be said of a held part and at any station.
REMARKS = frozenset(
    {
        *(Wish.DEFECT, Wish.HOLD, Wish.LIFT, Wish.REWORK, Wish.SCRAP),
        *(Wish.ALLOW, Wish.ASK, Wish.DECLINE, Wish.UNDO, Wish.SWAP),
        *(Wish.REPLACE, Wish.WOOD),
    }
)


@dataclass(frozen=True, slots=True)
class Outcome:
    """The state a step gets, and the gates that were let pass on the way."""

    state: State
    dwell_until: datetime | None = None
    passed: tuple[Refusal, ...] = ()


def judge(facts: "Facts", wish: Wish, at: datetime) -> Refusal | Outcome:
    """Say what the step becomes, or the nearest reason why not."""
    if barred := _barred(facts, wish):
        return barred
    if (facts.state, wish) not in NEXT or not _kind_fits(facts, wish):
        return _why_not(facts, wish)
    refused, passed = None, []
    for gate in closed_gates(facts, wish, at):
        if gate.may_allow and gate.code in facts.allowed:
            passed.append(gate)
        else:
            refused = refused or gate
    if refused:
        return refused
    return _outcome(facts, wish, at, tuple(passed))


def wish_next(state: State, kind: OperationKind) -> Wish:
    """Say what comes next for a step in its state."""
    if state is State.DWELLING:
        return Wish.TAKE_OUT
    if state is State.RUNNING:
        return Wish.FINISH
    return Wish.LOAD if kind is OperationKind.HOLD else Wish.START


def _barred(facts: "Facts", wish: Wish) -> Refusal | None:
    """Say what stops the person or the instrument, whatever the step is."""
    if not MAY[wish] & facts.roles:
        return reasons.MAY_NOT.about(person=facts.person)
    if facts.instrument_state is not InstrumentState.OPEN and not _opens_again(
        facts, wish
    ):
        return facts.closed()
    if facts.scrapped and wish not in OF_SCRAP:
        return facts.scrapped
    if wish not in REMARKS and facts.held:
        return facts.held.refusal()
    return None


def _opens_again(facts: "Facts", wish: Wish) -> bool:
    """Say whether a wish may be had of an instrument that is off the floor.

    The press that finished it may have been a mistake; scrapping is none.
    """
    finished = facts.instrument_state is InstrumentState.FINISHED
    return wish is Wish.UNDO and finished


def _kind_fits(facts: "Facts", wish: Wish) -> bool:
    holding = facts.kind is OperationKind.HOLD
    return not (
        (wish in (Wish.START, Wish.FINISH) and holding)
        or (wish is Wish.LOAD and not holding)
        or (wish is Wish.MATE and facts.kind is not OperationKind.JOIN)
    )


def _why_not(facts: "Facts", wish: Wish) -> Refusal:
    if wish is Wish.SWAP and facts.state in IN_HAND:
        about = {"operation": facts.operation, "serial": facts.serial}
        return IN_HAND[facts.state].about(**about)
    if facts.state is State.DONE:
        return facts.already_done()
    if facts.state is State.VOID:
        return reasons.DROPPED.about(operation=facts.operation)
    if facts.state is State.WAITING:
        return _why_later(facts)
    return reasons.NOT_NOW.about(operation=facts.operation, state_word=facts.state)


def _why_later(facts: "Facts") -> Refusal:
    if facts.wants_wood:
        return anew.WANTS_WOOD.about(serial=facts.serial)
    return reasons.COMES_LATER.about(
        operation=facts.operation, open=", ".join(facts.waits_for)
    )


def closed_gates(facts: "Facts", wish: Wish, at: datetime) -> list[Refusal]:
    """List the gates that stand closed, nearest first."""
    if wish in REMARKS:
        return [facts.remark_fault] if facts.remark_fault else []
    gates = [] if facts.here else [facts.not_here()]
    if wish in SKILLED and not facts.qualified:
        gates.append(facts.not_qualified())
    since = facts.ready_at if wish in BEGINNING else facts.started_at
    if since and at < since - CLOCKS_DIFFER:
        gates.insert(0, facts.since(reasons.BEFORE_ITS_TURN, since))
    if wish in BEGINNING:
        gates += _opening_gates(facts, wish, at)
    if fault := _fault_of_scan(facts, wish):
        gates.append(fault)
    if wish in FINISHING:
        gates += _closing_gates(facts, wish, at)
    return gates


def _fault_of_scan(facts: "Facts", wish: Wish) -> Refusal | None:
    """Say what is wrong with what was measured or scanned."""
    faults = {
        Wish.READ: facts.gauge_fault,
        Wish.MATE: facts.mate_fault,
        Wish.USE: facts.use_fault,
    }
    return faults.get(wish)


def _opening_gates(facts: "Facts", wish: Wish, at: datetime) -> list[Refusal]:
    gates = []
    if facts.not_before and at < facts.not_before:
        gates.append(facts.until(reasons.TOO_SOON, facts.not_before))
    if facts.not_after and at > facts.not_after:
        gates.append(facts.until(reasons.TOO_LONG_SINCE, facts.not_after))
    if wish is Wish.START and facts.wood_fault:
        gates.append(facts.wood_fault)
    if wish is Wish.START:
        gates += facts.batch_faults
    if wish is Wish.LOAD and facts.places_free <= 0:
        gates.append(facts.no_room())
    return gates


def _closing_gates(facts: "Facts", wish: Wish, at: datetime) -> list[Refusal]:
    gates = []
    if wish is Wish.TAKE_OUT and facts.dwell_until and at < facts.dwell_until:
        gates.append(facts.until(reasons.STILL_DWELLING, facts.dwell_until))
    # What is clamped after work was checked when the work was finished.
    if wish is Wish.TAKE_OUT and facts.kind is not OperationKind.HOLD:
        return gates
    if wish is Wish.TAKE_OUT and facts.wood_fault:
        gates.append(facts.wood_fault)
    if facts.mates_missing:
        mates = ", ".join(facts.mates_missing)
        gates.append(reasons.MATES_MISSING.about(mates_words=mates))
    gates += facts.batch_faults
    if facts.serials_missing:
        lacking = ", ".join(facts.serials_missing)
        gates.append(reasons.SERIALS_MISSING.about(materials=lacking))
    if facts.checks_missing:
        gates.append(
            reasons.CHECK_MISSING.about(checks=", ".join(facts.checks_missing))
        )
    if facts.checks_out:
        gates.append(reasons.OUT_OF_TOLERANCE.about(checks=", ".join(facts.checks_out)))
    return gates


def _outcome(
    facts: "Facts", wish: Wish, at: datetime, passed: tuple[Refusal, ...]
) -> Outcome:
    state = NEXT[facts.state, wish]
    lies = wish is Wish.LOAD or (wish is Wish.FINISH and bool(facts.shortest_dwell))
    if not lies:
        return Outcome(
            state, facts.dwell_until if state is State.DWELLING else None, passed
        )
    return Outcome(State.DWELLING, at + facts.shortest_dwell, passed)
