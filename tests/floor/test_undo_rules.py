"""What may be taken back, by whom and until when, and what hangs on what?  Pure."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from travelers.floor.rules import State, StepNow, Wish
from travelers.floor.rules.bench import Bench, PartNow, comes_before
from travelers.floor.rules.undo import (
    UNDOABLE,
    Past,
    Taking,
    Way,
    dependents,
    may_touch,
    why_not,
)
from travelers.kit import words
from travelers.routes.rules import Branch, Joins, Line, OperationKind, Route

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
# Which operation is of which branch, and what it waits for beside its own branch.
LINES = {
    1: (Branch.BODY, 10, "Saw", ()),
    2: (Branch.BODY, 20, "Glue", ()),
    3: (Branch.BODY, 30, "Machine", ()),
    4: (Branch.NECK, 10, "Rough", ()),
    5: (Branch.ASSEMBLY, 10, "Neck joint", (3, 4)),
    6: (Branch.ASSEMBLY, 20, "Test play", ()),
}
PARTS = {Branch.BODY: 1, Branch.NECK: 2, Branch.ASSEMBLY: 3}


def line(number: int) -> Line:
    branch, position, name, after = LINES[number]
    return Line(
        id=number,
        branch=branch,
        number=position,
        name=name,
        kind=OperationKind.WORK,
        joins=Joins.NOTHING,
        planned=timedelta(0),
        shortest_dwell=timedelta(0),
        longest_gap=None,
        times=1,
        shortest_between=None,
        longest_between=None,
        instruction="",
        picture="",
        after=after,
        checks=(),
        hazards=(),
    )


ROUTE = Route.of(1, map(line, LINES))
# One step an operation, under the operation's number.
STEPS = {
    number: StepNow(
        number, PARTS[branch], number, position, 1, 0, State.WAITING, 1, None
    )
    for number, (branch, position, _, _) in LINES.items()
}
WAY = Way(ROUTE, STEPS)


def past(seq: int, kind: Wish, step: int, **data: Any) -> Past:
    ends = {Wish.START: "RUNNING", Wish.FINISH: "DONE", Wish.LOAD: "DWELLING"}
    ends[Wish.TAKE_OUT] = "DONE"
    if kind in ends:
        data = {"state": ends[kind]} | data
    at = NOON + seq * MINUTE
    return Past(seq, f"e{seq}", kind, step, 7, "Joiner Cast", at, data)


def read(seq: int, step: int, *places: int) -> Past:
    rows = [{"check": 1, "place": place} for place in places or (1,)]
    return past(seq, Wish.READ, step, readings=rows)


def told(*script: str) -> list[Past]:
    """Write a script of presses: ``START 1``, ``READ 1 p2``, ``ALLOW 1 gate``."""
    found = []
    for seq, words_ in enumerate(script, start=1):
        kind, step, *more = words_.split()
        if kind == "READ":
            places = [int(one[1:]) for one in more]
            found.append(read(seq, int(step), *places))
            continue
        data: dict[str, Any] = {}
        if kind == "MATE":
            data = {"mate": more[0]}
        elif kind in ("ALLOW", "ASK", "DECLINE"):
            data = {"gate": more[0], "reason": "seen"}
        elif more and more[0].startswith("passed="):
            data = {"passed": more[0].removeprefix("passed=").split(",")}
        elif more:
            data = {"state": more[0]}
        found.append(past(seq, Wish(kind), int(step), **data))
    return found


# A story, which of its events is taken back, and which then hang on it, newest first.
HANGING: tuple[tuple[str, list[str], int, list[int]], ...] = (
    ("a step just begun", ["START 1"], 1, []),
    ("what is done in a step hangs on its start",
     ["START 1", "READ 1", "MATE 1 P1", "FINISH 1"], 1, [4, 3, 2]),
    ("the end alone hangs on nothing", ["START 1", "FINISH 1"], 2, []),
    ("the next step hangs on the end", ["START 1", "FINISH 1", "START 2"], 2, [3]),
    ("and all after it",
     ["START 1", "FINISH 1", "START 2", "FINISH 2", "START 3"], 2, [5, 4, 3]),
    ("a join hangs on its branches",
     ["START 4", "FINISH 4", "START 3", "FINISH 3", "START 5", "MATE 5 P1"], 2, [6, 5]),
    ("an early step of a branch hangs under the join",
     ["START 1", "FINISH 1", "START 5"], 2, [3]),
    ("another branch does not hang on it",
     ["START 1", "FINISH 1", "START 4", "FINISH 4"], 2, []),
    ("what lies clamped is not done: only taking out hangs on it",
     ["START 2", "FINISH 2 DWELLING", "TAKE_OUT 2", "START 3"], 2, [4, 3]),
    ("remarks hang on nothing",
     ["START 1", "HOLD 1", "DEFECT 1", "ASK 1 g", "DECLINE 1 g", "LIFT 1"], 1, []),
    ("a rework was decided about work that was begun",
     ["START 1", "REWORK 1"], 1, [2]),
    ("the end hangs on a reading", ["START 1", "READ 1", "FINISH 1"], 2, [3]),
    ("and what was built on the end",
     ["START 1", "READ 1", "FINISH 1", "START 2"], 2, [4, 3]),
    ("a reading that was taken again counts for nothing",
     ["START 1", "READ 1", "READ 1", "FINISH 1"], 2, []),
    ("but the second one does", ["START 1", "READ 1", "READ 1", "FINISH 1"], 3, [4]),
    ("some of its places were not taken again",
     ["START 1", "READ 1 p1 p2", "READ 1 p1", "FINISH 1"], 2, [4]),
    ("a reading of another step is no other reading",
     ["START 1", "READ 1", "READ 4", "FINISH 1"], 2, [4]),
    ("a mate that was scanned twice", ["START 5", "MATE 5 P1", "MATE 5 P1",
                                       "FINISH 5"], 2, []),
    ("a mate that was scanned once", ["START 5", "MATE 5 P1", "MATE 5 P2",
                                      "FINISH 5"], 2, [4]),
    ("a reading before the end is no matter of an open step",
     ["START 1", "READ 1", "READ 1 p2"], 2, []),
    ("a permission that was not used", ["ALLOW 1 g", "START 1"], 1, []),
    ("what went through by it", ["ALLOW 1 g", "START 1 passed=g", "FINISH 1"], 1,
     [3, 2]),
    ("it went through by another permission",
     ["ALLOW 1 g", "ALLOW 1 g", "START 1 passed=g"], 1, []),
    ("by this one", ["ALLOW 1 g", "ALLOW 1 g", "START 1 passed=g"], 2, [3]),
    ("through another gate", ["ALLOW 1 g", "START 1 passed=h"], 1, []),
    ("a permission for one step is none for another",
     ["ALLOW 1 g", "START 4 passed=g"], 1, []),
)  # fmt: skip


@pytest.mark.parametrize(
    ("story", "script", "back", "hanging"), HANGING, ids=[row[0] for row in HANGING]
)
def test_what_hangs_on_an_event(
    story: str, script: list[str], back: int, hanging: list[int]
) -> None:
    events = told(*script)
    target, later = events[back - 1], events[back:]
    assert [one.seq for one in dependents(target, later, WAY)] == hanging, story


def test_before_is_what_stands_in_the_way() -> None:
    """What an open step waits for on the bench is what comes before it."""
    bench = Bench(
        1,
        "W1",
        1,
        ROUTE,
        tuple(PartNow(key, branch, f"P{key}", None) for branch, key in PARTS.items()),
        tuple(STEPS.values()),
    )
    for step in bench.steps:
        blocking = {other.id for other in bench.blocking(step)}
        before = {o.id for o in bench.steps if comes_before(ROUTE, o, step)}
        assert before == blocking
    # The join waits for the body, the neck and nothing of its own.
    assert {o.id for o in bench.blocking(STEPS[5])} == {1, 2, 3, 4}


def taking(**other: Any) -> Taking:
    usual = Taking(7, frozenset({"operator"}), "", NOON + 2 * MINUTE, 10 * MINUTE)
    return replace(usual, **other)


LEAD = frozenset({"lead"})
START = past(1, Wish.START, 1)
FINISH, BUILT_ON = told("START 1", "FINISH 1", "START 2")[1:]
REWORK = past(9, Wish.REWORK, 2)
# Of whose press, what hangs on it, who wants it back and why not.
WHY_NOT: tuple[tuple[str, Past, list[Past], Taking, str], ...] = (
    ("own and fresh", START, [], taking(), ""),
    ("at the very end of the window", START, [], taking(at=NOON + 11 * MINUTE), ""),
    ("later", START, [], taking(at=NOON + 11 * MINUTE + MINUTE / 60), "undo_late"),
    ("of another", START, [], taking(person_id=8), "undo_others"),
    ("a reason does not make an operator a lead", START, [],
     taking(person_id=8, reason="because"), "undo_others"),
    ("a lead, of another, without a reason", START, [],
     taking(person_id=8, roles=LEAD), "reason_missing"),
    ("a lead with a blank", START, [],
     taking(person_id=8, roles=LEAD, reason="  "), "reason_missing"),
    ("a lead with a reason", START, [],
     taking(person_id=8, roles=LEAD, reason="wrong part"), ""),
    ("a lead much later", START, [],
     taking(roles=LEAD, reason="wrong part", at=NOON + timedelta(days=90)), ""),
    ("QA as well", START, [],
     taking(person_id=8, roles=frozenset({"qa"}), reason="wrong part"), ""),
    ("a lead's own, fresh, needs none", START, [], taking(roles=LEAD), ""),
    ("built on already", FINISH, [BUILT_ON], taking(), "undo_depends"),
    ("built on, for a lead as well", FINISH, [BUILT_ON],
     taking(roles=LEAD, reason="wrong part"), "undo_depends"),
    ("decided since", START, [BUILT_ON, REWORK],
     taking(roles=LEAD, reason="wrong part"), "undo_stuck"),
    ("late comes before built on", FINISH, [BUILT_ON],
     taking(at=NOON + timedelta(hours=1)), "undo_late"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("case", "target", "hanging", "by", "code"),
    WHY_NOT,
    ids=[row[0] for row in WHY_NOT],
)
def test_who_may_take_back_and_until_when(
    case: str, target: Past, hanging: list[Past], by: Taking, code: str
) -> None:
    got = why_not(target, hanging, by, WAY)
    assert (got.code if got else "") == (f"floor.{code}" if code else ""), case


@pytest.mark.parametrize("kind", Wish)
def test_of_every_kind_it_is_said_whether_it_can_be_taken_back(kind: Wish) -> None:
    target = past(1, kind, 1)
    got = why_not(target, [], taking(roles=LEAD, reason="mistake"), WAY)
    can = kind in {
        *(Wish.START, Wish.FINISH, Wish.LOAD, Wish.TAKE_OUT),
        *(Wish.READ, Wish.MATE, Wish.USE, Wish.ALLOW),
    }
    assert (got is None) is can
    assert got is None or got.code == "floor.never_undone"
    assert may_touch(target, taking()) is can
    assert (kind in UNDOABLE) is can


def test_what_it_is_and_what_hangs_on_it_is_said_in_words() -> None:
    hanging = dependents(FINISH, [BUILT_ON], WAY)
    got = why_not(FINISH, hanging, taking(), WAY)
    assert got
    assert words.sentence_of(got) == "Saw, done: what came later needs it: start Glue."
    late = why_not(START, [], taking(at=NOON + timedelta(hours=1)), WAY)
    assert late
    assert words.sentence_of(late) == "Saw, start: that was more than 10 minutes ago."
