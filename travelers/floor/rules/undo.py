"""What may be taken back, by whom and until when, and what hangs on it?  Pure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from travelers.floor.rules import reasons
from travelers.floor.rules.bench import StepNow, comes_before
from travelers.floor.rules.machine import DECIDERS, FINISHING, State, Wish
from travelers.kit.refusals import Refusal
from travelers.routes.rules import Route

MOVING = frozenset({Wish.START, Wish.FINISH, Wish.LOAD, Wish.TAKE_OUT})
# A hold is lifted, a defect decided, a decision stands; a question falls away by
# itself.  What was taken back is done again rather than brought back.
UNDOABLE = MOVING | {Wish.READ, Wish.MATE, Wish.USE, Wish.ALLOW}
# What can only be done, or decided, to a step whose turn it is.
AT_WORK = MOVING | {Wish.READ, Wish.MATE, Wish.USE, Wish.REWORK}


@dataclass(frozen=True, slots=True)
class Past:
    """An accepted event, as far as it can be taken back or others hang on it."""

    seq: int
    event_id: str
    kind: Wish
    step_id: int
    person_id: int
    person: str
    happened_at: datetime
    data: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Way:
    """A route with all steps that an instrument has on it, also those done."""

    route: Route
    steps: Mapping[int, StepNow]

    def is_before(self, step_id: int, later_id: int) -> bool:
        return comes_before(self.route, self.steps[step_id], self.steps[later_id])

    def title(self, past: Past) -> str:
        step = self.steps[past.step_id]
        line = self.route.by_id[step.operation_id]
        return f"{line.name} {step.repeat}" if line.times > 1 else line.name

    def said(self, pasts: Iterable[Past]) -> str:
        """Name events for a refusal's ``…_words``: START Saw, READ Saw."""
        return ", ".join(
            dict.fromkeys(f"{past.kind} {self.title(past)}" for past in pasts)
        )


def dependents(target: Past, later: Iterable[Past], way: Way) -> tuple[Past, ...]:
    """List what was done on the strength of an event, newest first.

    ``later`` are the standing events after it, oldest first.  What hangs on one of
    the dependents hangs on the event too.
    """
    gone, between = [target], list[Past]()
    for one in later:
        if any(_hangs(one, on, between, way) for on in gone):
            gone.append(one)
        else:
            between.append(one)
    return tuple(reversed(gone[1:]))


def _hangs(one: Past, on: Past, between: Sequence[Past], way: Way) -> bool:
    """Say whether ``one`` could not have been without ``on``.

    ``between`` stays when ``on`` goes, and may do in its stead.
    """
    if on.kind is Wish.ALLOW:
        return _passed_by(one, on, between)
    if on.kind in (Wish.READ, Wish.MATE, Wish.USE):
        ends = one.step_id == on.step_id and one.kind in FINISHING
        return ends and bool(_said(on) - _said_since(on, between))
    if on.kind not in MOVING or one.kind not in AT_WORK:
        return False
    if one.step_id == on.step_id:
        return True
    done = on.data.get("state") == State.DONE
    return done and way.is_before(on.step_id, one.step_id)


def _passed_by(one: Past, on: Past, between: Sequence[Past]) -> bool:
    """Say whether an event went through a gate by this permission, and no other."""
    gate = on.data["gate"]
    since = (past for past in between if past.seq > on.seq)
    other = any(
        past.step_id == on.step_id
        and (
            gate in past.data.get("passed", ())
            or (past.kind is Wish.ALLOW and past.data["gate"] == gate)
        )
        for past in since
    )
    at_it = one.step_id == on.step_id and gate in one.data.get("passed", ())
    return at_it and not other


def _said_since(on: Past, between: Sequence[Past]) -> set[object]:
    return {
        said
        for past in between
        if past.seq > on.seq and (past.kind, past.step_id) == (on.kind, on.step_id)
        for said in _said(past)
    }


def _said(past: Past) -> set[object]:
    """Give what an event says of a step: the places it read, a mate, a serial."""
    if past.kind is Wish.MATE:
        return {past.data["mate"]}
    if past.kind is Wish.USE:
        return {(row["need"], row["serial"]) for row in past.data["uses"]}
    return {(row["check"], row["place"]) for row in past.data["readings"]}


@dataclass(frozen=True, slots=True)
class Taking:
    """Somebody who wants to take something back, and when."""

    person_id: int
    roles: frozenset[str]
    reason: str
    at: datetime
    within: timedelta

    @property
    def decides(self) -> bool:
        return bool(self.roles & DECIDERS)

    def is_own_and_fresh(self, target: Past) -> bool:
        """Say whether a touch is enough: the same person, a short while ago."""
        own = target.person_id == self.person_id
        return own and self.at - target.happened_at <= self.within


def may_touch(target: Past, taking: Taking) -> bool:
    """Say whether the bench offers to take an event back, with one touch."""
    return target.kind in UNDOABLE and taking.is_own_and_fresh(target)


def never(target: Past, hanging: Sequence[Past], way: Way) -> Refusal | None:
    """Say why an event cannot go, by whomever and with all that hangs on it."""
    about = {"kind_word": str(target.kind), "operation": way.title(target)}
    if target.kind not in UNDOABLE:
        return reasons.NEVER_UNDONE.about(**about)
    if stuck := [one for one in hanging if one.kind not in UNDOABLE]:
        return reasons.UNDO_STUCK.about(**about, later_words=way.said(stuck))
    return None


def why_not(
    target: Past, hanging: Sequence[Past], taking: Taking, way: Way
) -> Refusal | None:
    """Say why an event cannot be taken back by this person now, nearest first."""
    about = {"kind_word": str(target.kind), "operation": way.title(target)}
    if target.kind not in UNDOABLE:
        return never(target, hanging, way)
    if not taking.is_own_and_fresh(target):
        if not taking.decides:
            return _not_yours(target, taking, about)
        if not taking.reason.strip():
            return reasons.REASON_MISSING
    if hanging:
        depends = reasons.UNDO_DEPENDS.about(**about, later_words=way.said(hanging))
        return never(target, hanging, way) or depends
    return None


def _not_yours(target: Past, taking: Taking, about: Mapping[str, str]) -> Refusal:
    if target.person_id != taking.person_id:
        return reasons.UNDO_OTHERS.about(**about, person=target.person)
    minutes = str(round(taking.within.total_seconds() / 60))
    return reasons.UNDO_LATE.about(**about, minutes=minutes)
