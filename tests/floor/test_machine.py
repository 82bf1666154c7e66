"""What becomes of a step, for every state, every wish and every kind of operation?"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import product
from typing import Any

import pytest

from travelers.floor.rules import (
    NEXT,
    Facts,
    Held,
    Outcome,
    State,
    Wish,
    judge,
    reasons,
)
from travelers.floor.rules.machine import MAY
from travelers.kit import words
from travelers.kit.refusals import Refusal
from travelers.orders.rules import InstrumentState
from travelers.routes.rules import OperationKind

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
CLAMPED = "WORK, then clamped"

# A row a wish, a column a state; in each cell the state that the step gets, in
# capitals, or the reason why not.  Every gate stands open and everybody may.
ANSWERS = {
    "WORK": """
    .        WAITING      READY        RUNNING      DWELLING     DONE         VOID
    START    comes_later  RUNNING      not_now      not_now      already_done dropped
    FINISH   comes_later  not_now      DONE         not_now      already_done dropped
    LOAD     comes_later  not_now      not_now      not_now      already_done dropped
    TAKE_OUT comes_later  not_now      not_now      DONE         already_done dropped
    READ     comes_later  not_now      RUNNING      DWELLING     already_done dropped
    MATE     comes_later  not_now      not_now      not_now      already_done dropped
    USE      comes_later  not_now      RUNNING      not_now      already_done dropped
    DEFECT   WAITING      READY        RUNNING      DWELLING     DONE         dropped
    HOLD     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    LIFT     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    ALLOW    WAITING      READY        RUNNING      DWELLING     already_done dropped
    ASK      WAITING      READY        RUNNING      DWELLING     already_done dropped
    DECLINE  WAITING      READY        RUNNING      DWELLING     already_done dropped
    UNDO     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    REWORK   VOID         VOID         VOID         VOID         DONE         dropped
    SCRAP    VOID         VOID         VOID         VOID         DONE         dropped
    SWAP     WAITING      READY        swap_in_work swap_lies    DONE         dropped
    REPLACE  VOID         VOID         VOID         VOID         DONE         dropped
    WOOD     WAITING      not_now      not_now      not_now      already_done dropped
    """,
    CLAMPED: """
    .        WAITING      READY        RUNNING      DWELLING     DONE         VOID
    START    comes_later  RUNNING      not_now      not_now      already_done dropped
    FINISH   comes_later  not_now      DWELLING     not_now      already_done dropped
    LOAD     comes_later  not_now      not_now      not_now      already_done dropped
    TAKE_OUT comes_later  not_now      not_now      DONE         already_done dropped
    READ     comes_later  not_now      RUNNING      DWELLING     already_done dropped
    MATE     comes_later  not_now      not_now      not_now      already_done dropped
    USE      comes_later  not_now      RUNNING      not_now      already_done dropped
    DEFECT   WAITING      READY        RUNNING      DWELLING     DONE         dropped
    HOLD     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    LIFT     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    ALLOW    WAITING      READY        RUNNING      DWELLING     already_done dropped
    ASK      WAITING      READY        RUNNING      DWELLING     already_done dropped
    DECLINE  WAITING      READY        RUNNING      DWELLING     already_done dropped
    UNDO     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    REWORK   VOID         VOID         VOID         VOID         DONE         dropped
    SCRAP    VOID         VOID         VOID         VOID         DONE         dropped
    SWAP     WAITING      READY        swap_in_work swap_lies    DONE         dropped
    REPLACE  VOID         VOID         VOID         VOID         DONE         dropped
    WOOD     WAITING      not_now      not_now      not_now      already_done dropped
    """,
    "HOLD": """
    .        WAITING      READY        RUNNING      DWELLING     DONE         VOID
    START    comes_later  not_now      not_now      not_now      already_done dropped
    FINISH   comes_later  not_now      not_now      not_now      already_done dropped
    LOAD     comes_later  DWELLING     not_now      not_now      already_done dropped
    TAKE_OUT comes_later  not_now      not_now      DONE         already_done dropped
    READ     comes_later  not_now      RUNNING      DWELLING     already_done dropped
    MATE     comes_later  not_now      not_now      not_now      already_done dropped
    USE      comes_later  not_now      RUNNING      not_now      already_done dropped
    DEFECT   WAITING      READY        RUNNING      DWELLING     DONE         dropped
    HOLD     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    LIFT     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    ALLOW    WAITING      READY        RUNNING      DWELLING     already_done dropped
    ASK      WAITING      READY        RUNNING      DWELLING     already_done dropped
    DECLINE  WAITING      READY        RUNNING      DWELLING     already_done dropped
    UNDO     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    REWORK   VOID         VOID         VOID         VOID         DONE         dropped
    SCRAP    VOID         VOID         VOID         VOID         DONE         dropped
    SWAP     WAITING      READY        swap_in_work swap_lies    DONE         dropped
    REPLACE  VOID         VOID         VOID         VOID         DONE         dropped
    WOOD     WAITING      not_now      not_now      not_now      already_done dropped
    """,
    "INSPECT": """
    .        WAITING      READY        RUNNING      DWELLING     DONE         VOID
    START    comes_later  RUNNING      not_now      not_now      already_done dropped
    FINISH   comes_later  not_now      DONE         not_now      already_done dropped
    LOAD     comes_later  not_now      not_now      not_now      already_done dropped
    TAKE_OUT comes_later  not_now      not_now      DONE         already_done dropped
    READ     comes_later  not_now      RUNNING      DWELLING     already_done dropped
    MATE     comes_later  not_now      not_now      not_now      already_done dropped
    USE      comes_later  not_now      RUNNING      not_now      already_done dropped
    DEFECT   WAITING      READY        RUNNING      DWELLING     DONE         dropped
    HOLD     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    LIFT     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    ALLOW    WAITING      READY        RUNNING      DWELLING     already_done dropped
    ASK      WAITING      READY        RUNNING      DWELLING     already_done dropped
    DECLINE  WAITING      READY        RUNNING      DWELLING     already_done dropped
    UNDO     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    REWORK   VOID         VOID         VOID         VOID         DONE         dropped
    SCRAP    VOID         VOID         VOID         VOID         DONE         dropped
    SWAP     WAITING      READY        swap_in_work swap_lies    DONE         dropped
    REPLACE  VOID         VOID         VOID         VOID         DONE         dropped
    WOOD     WAITING      not_now      not_now      not_now      already_done dropped
    """,
    "JOIN": """
    .        WAITING      READY        RUNNING      DWELLING     DONE         VOID
    START    comes_later  RUNNING      not_now      not_now      already_done dropped
    FINISH   comes_later  not_now      DONE         not_now      already_done dropped
    LOAD     comes_later  not_now      not_now      not_now      already_done dropped
    TAKE_OUT comes_later  not_now      not_now      DONE         already_done dropped
    READ     comes_later  not_now      RUNNING      DWELLING     already_done dropped
    MATE     comes_later  not_now      RUNNING      not_now      already_done dropped
    USE      comes_later  not_now      RUNNING      not_now      already_done dropped
    DEFECT   WAITING      READY        RUNNING      DWELLING     DONE         dropped
    HOLD     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    LIFT     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    ALLOW    WAITING      READY        RUNNING      DWELLING     already_done dropped
    ASK      WAITING      READY        RUNNING      DWELLING     already_done dropped
    DECLINE  WAITING      READY        RUNNING      DWELLING     already_done dropped
    UNDO     WAITING      READY        RUNNING      DWELLING     DONE         VOID
    REWORK   VOID         VOID         VOID         VOID         DONE         dropped
    SCRAP    VOID         VOID         VOID         VOID         DONE         dropped
    SWAP     WAITING      READY        swap_in_work swap_lies    DONE         dropped
    REPLACE  VOID         VOID         VOID         VOID         DONE         dropped
    WOOD     WAITING      not_now      not_now      not_now      already_done dropped
    """,
}


def cells() -> list[tuple[str, str, str, str]]:
    """Read (kind, state, wish, answer) out of the tables."""
    found = []
    for kind, table in ANSWERS.items():
        (_, *states), *rows = (
            line.split() for line in table.split("\n") if line.strip()
        )
        for wish, *answers in rows:
            pairs = zip(states, answers, strict=True)
            found += [(kind, state, wish, answer) for state, answer in pairs]
    return found


def open_facts(kind: str = "WORK", state: State = State.RUNNING) -> Facts:
    """Give facts where every gate stands open and the person may do everything."""
    return Facts(
        state=state,
        kind=OperationKind.WORK if kind == CLAMPED else OperationKind(kind),
        operation="Glue",
        roles=frozenset({"operator", "lead", "qa"}),
        person="Joiner Cast",
        serial="W00001",
        place="Clamps",
        station="Clamps",
        shortest_dwell=3 * HOUR if kind in (CLAMPED, "HOLD") else timedelta(0),
        dwell_until=NOON - HOUR if state is State.DWELLING else None,
        finished_at=NOON - HOUR if state is State.DONE else None,
        finished_by="Finisher Cast",
    )


@pytest.mark.parametrize(("kind", "state", "wish", "answer"), cells())
def test_every_state_answers_every_wish(
    kind: str, state: str, wish: str, answer: str
) -> None:
    facts = open_facts(kind, State(state))
    got = judge(facts, Wish(wish), NOON)
    if answer.isupper():
        assert isinstance(got, Outcome), got
        assert (got.state, got.passed) == (State(answer), ())
    else:
        assert isinstance(got, Refusal), got
        assert got.code == f"floor.{answer}"


def test_the_table_names_every_state_wish_and_kind() -> None:
    named = [(kind, state, wish) for kind, state, wish, _ in cells()]
    kinds = [*OperationKind, CLAMPED]
    assert len(named) == len(set(named))
    assert set(named) == set(product(map(str, kinds), map(str, State), map(str, Wish)))


def test_each_move_of_the_machine_is_in_the_table() -> None:
    """Whatever NEXT lets through is let through for some kind, and nothing else."""
    moved = {
        (State(state), Wish(wish))
        for _, state, wish, answer in cells()
        if answer.isupper()
    }
    assert moved == set(NEXT)


def test_what_lies_says_until_when() -> None:
    loaded = judge(open_facts("HOLD", State.READY), Wish.LOAD, NOON)
    assert loaded == Outcome(State.DWELLING, NOON + 3 * HOUR)
    clamped = judge(open_facts(CLAMPED, State.RUNNING), Wish.FINISH, NOON)
    assert clamped == Outcome(State.DWELLING, NOON + 3 * HOUR)
    read = judge(open_facts("HOLD", State.DWELLING), Wish.READ, NOON)
    assert read == Outcome(State.DWELLING, NOON - HOUR)


WHO = {
    "operator": {*Wish}
    - {Wish.LIFT, Wish.ALLOW, Wish.DECLINE, Wish.REWORK, Wish.SCRAP, Wish.SWAP}
    - {Wish.REPLACE, Wish.WOOD},
    "lead": {*Wish} - {Wish.REWORK, Wish.SCRAP, Wish.SWAP, Wish.REPLACE, Wish.WOOD},
    "qa": {*Wish},
    "planner": {Wish.WOOD},
    "route_engineer": set(),
    "admin": set(),
}


@pytest.mark.parametrize(("role", "wish"), [*product(WHO, Wish)])
def test_every_role_may_what_is_its_own(role: str, wish: Wish) -> None:
    facts = replace(open_facts(), roles=frozenset({role}))
    got = judge(facts, wish, NOON)
    is_stopped = isinstance(got, Refusal) and got.code == "floor.may_not"
    assert is_stopped is (wish not in WHO[role])


def test_every_wish_says_who_may() -> None:
    assert set(MAY) == set(Wish)


UNTIL = "10 Mar 2026, 14:00"
MISSING = reasons.BATCH_MISSING.about(materials="Hide glue")
EXPIRED = reasons.BATCH_EXPIRED.about(
    number="N-1", material="Hide glue", day="2026-03-09"
)
BATCH_HELD = reasons.BATCH_HELD.about(
    number="N-1",
    material="Hide glue",
    held_at="2026-03-10T10:00:00+00:00",
    person="Qa Cast",
    reason="smells odd",
)
USED = reasons.SERIAL_USED.about(material="Pickup", number="PU-7", other="W00002")
BY_TEN = "10 Mar 2026, 11:00"
OVERDUE = reasons.GAUGE_OVERDUE.about(gauge="Caliper 3", due="2026-01-31")
WRONG = reasons.WRONG_MATE.about(owner="W00002", serial="W00001")
OTHER = reasons.OTHER_SET.about(set="D002-01-B1", wanted="D001-01-B1")
STRANGE = reasons.NOT_A_MATE.about(
    operation="Neck joint", mates_words="BODY P1, NECK P2"
)
# What stands closed, the wish that meets it, and what is said then; times are
# said in the shop's zone, one hour ahead of UTC in March.
GATES: tuple[tuple[str, str, State, Wish, dict[str, Any], str, str], ...] = (
    (
        "may_not", "WORK", State.READY, Wish.START,
        {"roles": frozenset({"planner"})},
        "Joiner Cast does not do this kind of work here.",
        "Let somebody do it whose work it is, or sign in as yourself.",
    ),
    (
        "closed", "WORK", State.READY, Wish.START,
        {"instrument_state": InstrumentState.FINISHED, "closed_at": NOON + HOUR},
        f"Instrument W00001 left the floor on {UNTIL}: finished.",
        "Put the part aside and show it to the lead.",
    ),
    (
        "held", "WORK", State.READY, Wish.START,
        {"held": Held("W00001", NOON - 2 * HOUR, "Qa Cast", "crack in the pocket")},
        f"W00001 has been held since {BY_TEN}, by Qa Cast: “crack in the pocket”.",
        "Leave it where it lies; QA or the lead lifts the hold.",
    ),
    (
        "not_here", "WORK", State.READY, Wish.START,
        {"here": False},
        "Glue is not done at this station but at Clamps.",
        "Take the part to Clamps, or ask the lead to let it pass here.",
    ),
    (
        "not_qualified", "WORK", State.READY, Wish.START,
        {"qualified": False},
        "Joiner Cast is not qualified for this: Glue, work.",
        "Let somebody do it who is, or ask the lead to let it pass.",
    ),
    (
        "comes_later", "WORK", State.WAITING, Wish.START,
        {"waits_for": ("Saw", "Fret")},
        "Glue comes later; still open before it: Saw, Fret.",
        "Do that first and scan it there.",
    ),
    (
        "already_done", "WORK", State.DONE, Wish.FINISH, {},
        "Glue was done on 10 Mar 2026, 12:00 by Finisher Cast.",
        "Nothing is left to do; scan the part to see what comes next.",
    ),
    (
        "dropped", "WORK", State.VOID, Wish.START, {},
        "Glue was taken off this part's route.",
        "Scan the part to see what comes next.",
    ),
    (
        "not_now", "WORK", State.RUNNING, Wish.START, {},
        "Glue is in work and cannot be changed that way.",
        "Scan the part again to see what can be done now.",
    ),
    (
        "still_dwelling", "HOLD", State.DWELLING, Wish.TAKE_OUT,
        {"dwell_until": NOON + HOUR},
        f"Glue: the part has to lie until {UNTIL}.",
        "Leave it and come back then, or ask the lead to let it pass.",
    ),
    (
        "too_soon", "WORK", State.READY, Wish.START,
        {"not_before": NOON + HOUR},
        f"Glue may begin at {UNTIL}, not before.",
        "Let the last coat rest until then.",
    ),
    (
        "too_long_since", "WORK", State.READY, Wish.START,
        {"not_after": NOON - 2 * HOUR},
        f"Glue had to begin by {BY_TEN}; the time has run out.",
        "Measure or prepare the part again, then let the lead decide.",
    ),
    (
        "no_room", "HOLD", State.READY, Wish.LOAD,
        {"places": 3, "places_free": 0},
        "Clamps has no place free; taken: 3.",
        "Take out what is ready first, or ask the lead for a place.",
    ),
    (
        "check_missing", "WORK", State.RUNNING, Wish.FINISH,
        {"checks_missing": ("Moisture", "Fret height (fret 2)")},
        "Still to be checked: Moisture, Fret height (fret 2).",
        "Measure and record it, then go on.",
    ),
    (
        "out_of_tolerance", "WORK", State.RUNNING, Wish.FINISH,
        {"checks_out": ("Pocket width 56.30 mm",)},
        "Out of tolerance: Pocket width 56.30 mm.",
        "Measure again, record a defect, or ask the lead to let it pass.",
    ),
    (
        "gauge_overdue", "WORK", State.RUNNING, Wish.READ,
        {"gauge_fault": OVERDUE},
        "Caliper 3 was due for calibration on 31 Jan 2026.",
        "Take another gauge and bring this one to QA.",
    ),
    (
        "mates_missing", "JOIN", State.RUNNING, Wish.FINISH,
        {"mates_missing": ("BODY P1", "NECK P2")},
        "Not scanned yet: body P1, neck P2.",
        "Scan the tag or label of each, then go on.",
    ),
    (
        "wrong_mate", "JOIN", State.RUNNING, Wish.MATE,
        {"mate_fault": WRONG},
        "This tag belongs to W00002, not to W00001.",
        "Fetch the part with the tag of W00001; the other stays as it is.",
    ),
    (
        "other_set", "JOIN", State.RUNNING, Wish.MATE,
        {"mate_fault": OTHER},
        "This piece is of set D002-01-B1; the body is made of set D001-01-B1.",
        "Take the pieces of set D001-01-B1; wood of two planks never meets.",
    ),
    (
        "batch_missing", "WORK", State.READY, Wish.START,
        {"batch_faults": (MISSING,)},
        "No batch was scanned at this station yet: Hide glue.",
        "Scan the label of the batch in use; it then counts for all parts.",
    ),
    (
        "batch_expired", "WORK", State.RUNNING, Wish.FINISH,
        {"batch_faults": (EXPIRED,)},
        "Batch N-1 of Hide glue was good until 9 Mar 2026.",
        "Put it aside and scan a newer one, or ask the lead.",
    ),
    (
        "batch_held", "JOIN", State.RUNNING, Wish.FINISH,
        {"batch_faults": (BATCH_HELD,)},
        f"Batch N-1 of Hide glue is held since {BY_TEN} by Qa Cast: “smells odd”.",
        "Put it aside and scan another; QA or the lead lifts the hold.",
    ),
    (
        "serials_missing", "WORK", State.RUNNING, Wish.FINISH,
        {"serials_missing": ("Pickup 2/2",)},
        "Serial number still to be scanned: Pickup 2/2.",
        "Scan it off the piece that is built in, or type it.",
    ),
    (
        "serial_used", "WORK", State.RUNNING, Wish.USE,
        {"use_fault": USED},
        "Pickup PU-7 was built into W00002 already.",
        "Scan the piece in your hand; one that was taken out is for the lead.",
    ),
    (
        "not_a_mate", "JOIN", State.RUNNING, Wish.MATE,
        {"mate_fault": STRANGE},
        "Neck joint does not ask for this part.",
        "Scan one of: body P1, neck P2.",
    ),
)  # fmt: skip
GATE_COLUMNS = ("code", "kind", "state", "wish", "closed", "sentence", "remedy")


@pytest.mark.parametrize(GATE_COLUMNS, GATES, ids=[gate[0] for gate in GATES])
def test_every_gate_stops_and_says_why(
    code: str,
    kind: str,
    state: State,
    wish: Wish,
    closed: dict[str, Any],
    sentence: str,
    remedy: str,
) -> None:
    got = judge(replace(open_facts(kind, state), **closed), wish, NOON)
    assert isinstance(got, Refusal)
    assert got.code == f"floor.{code}"
    assert words.sentence_of(got) == sentence
    assert words.remedy_of(got) == remedy


LET_PASS = {
    "not_here", "not_qualified", "still_dwelling", "too_soon", "too_long_since",
    "no_room", "check_missing", "out_of_tolerance", "gauge_overdue",
    "batch_missing", "batch_expired", "serials_missing", "serial_used",
}  # fmt: skip


@pytest.mark.parametrize(GATE_COLUMNS, GATES, ids=[gate[0] for gate in GATES])
def test_only_a_gate_that_says_so_can_be_let_pass(
    code: str,
    kind: str,
    state: State,
    wish: Wish,
    closed: dict[str, Any],
    sentence: str,
    remedy: str,
) -> None:
    facts = replace(open_facts(kind, state), **closed)
    allowed = replace(facts, allowed=frozenset({f"floor.{code}"}))
    got = judge(allowed, wish, NOON)
    if code in LET_PASS:
        assert isinstance(got, Outcome), got
        assert [gate.code for gate in got.passed] == [f"floor.{code}"]
        assert Refusal.registry[f"floor.{code}"].may_allow == ("lead", "qa")
    else:
        assert isinstance(got, Refusal)
        assert got.code == f"floor.{code}"
        assert Refusal.registry[f"floor.{code}"].may_allow == ()


def test_the_moment_itself_is_inside() -> None:
    """A dwell is over, and a window is still open, at the very moment named."""
    lies = replace(open_facts("HOLD", State.DWELLING), dwell_until=NOON)
    assert isinstance(judge(lies, Wish.TAKE_OUT, NOON), Outcome)
    window = replace(open_facts("WORK", State.READY), not_before=NOON, not_after=NOON)
    assert isinstance(judge(window, Wish.START, NOON), Outcome)


# From the nearest reason to the farthest: each with what makes it so.  Whichever
# of them stand closed together, the first of this order is said.
NEAREST_ON_LOAD: tuple[tuple[str, dict[str, Any]], ...] = (
    ("may_not", {"roles": frozenset({"planner"})}),
    ("closed", {"instrument_state": InstrumentState.SCRAPPED, "closed_at": NOON}),
    ("held", {"held": Held("W00001", NOON, "Qa Cast", "crack")}),
    ("not_here", {"here": False}),
    ("not_qualified", {"qualified": False}),
    ("too_soon", {"not_before": NOON + HOUR}),
    ("too_long_since", {"not_after": NOON - HOUR}),
    ("no_room", {"places_free": 0}),
)
TOO_WET = reasons.WOOD_TOO_WET.about(piece="B", value="8.2", limit="7.0")
NEAREST_ON_TAKE_OUT: tuple[tuple[str, dict[str, Any]], ...] = (
    *NEAREST_ON_LOAD[:5],
    ("still_dwelling", {"dwell_until": NOON + HOUR}),
    ("wood_too_wet", {"wood_fault": TOO_WET}),
    ("mates_missing", {"mates_missing": ("body P1",)}),
    ("check_missing", {"checks_missing": ("Moisture",)}),
    ("out_of_tolerance", {"checks_out": ("Moisture 9 %",)}),
)


@pytest.mark.parametrize(
    ("state", "wish", "order"),
    [
        (State.READY, Wish.LOAD, NEAREST_ON_LOAD),
        (State.DWELLING, Wish.TAKE_OUT, NEAREST_ON_TAKE_OUT),
    ],
)
def test_of_many_reasons_the_nearest_is_said(
    state: State, wish: Wish, order: tuple[tuple[str, dict[str, Any]], ...]
) -> None:
    for position, (code, _) in enumerate(order):
        closed: dict[str, Any] = {}
        for _, fact in order[position:]:
            closed |= fact
        got = judge(replace(open_facts("HOLD", state), **closed), wish, NOON)
        assert isinstance(got, Refusal)
        assert got.code == f"floor.{code}"


def test_a_pass_for_one_gate_opens_no_other() -> None:
    facts = replace(
        open_facts("HOLD", State.DWELLING),
        dwell_until=NOON + HOUR,
        checks_out=("Moisture 9 %",),
    )
    one = judge(
        replace(facts, allowed=frozenset({"floor.still_dwelling"})), Wish.TAKE_OUT, NOON
    )
    assert isinstance(one, Refusal)
    assert one.code == "floor.out_of_tolerance"
    both = judge(
        replace(
            facts,
            allowed=frozenset({"floor.still_dwelling", "floor.out_of_tolerance"}),
        ),
        Wish.TAKE_OUT,
        NOON,
    )
    assert isinstance(both, Outcome)
    assert [gate.code for gate in both.passed] == [
        "floor.still_dwelling",
        "floor.out_of_tolerance",
    ]


def test_what_was_clamped_is_not_checked_again_when_it_comes_out() -> None:
    facts = replace(
        open_facts("JOIN", State.DWELLING),
        mates_missing=("body P1",),
        checks_missing=("Moisture",),
    )
    assert isinstance(judge(facts, Wish.TAKE_OUT, NOON), Outcome)


@pytest.mark.parametrize(
    "wish",
    [
        *(Wish.DEFECT, Wish.HOLD, Wish.LIFT, Wish.REWORK, Wish.SCRAP),
        *(Wish.ALLOW, Wish.ASK, Wish.DECLINE, Wish.UNDO),
    ],
)
def test_a_remark_may_be_made_of_a_held_part_anywhere(wish: Wish) -> None:
    facts = replace(
        open_facts(), here=False, held=Held("W00001", NOON, "Qa Cast", "crack")
    )
    assert isinstance(judge(facts, wish, NOON), Outcome)


@pytest.mark.parametrize("wish", Wish)
@pytest.mark.parametrize("left", [InstrumentState.FINISHED, InstrumentState.SCRAPPED])
def test_off_the_floor_only_the_press_that_finished_it_is_taken_back(
    left: InstrumentState, wish: Wish
) -> None:
    facts = replace(
        open_facts("WORK", State.DONE), instrument_state=left, closed_at=NOON
    )
    got = judge(facts, wish, NOON)
    if wish is Wish.UNDO and left is InstrumentState.FINISHED:
        assert got == Outcome(State.DONE)
    else:
        assert isinstance(got, Refusal)
        assert got.code == "floor.closed"


@pytest.mark.parametrize("wish", [Wish.UNDO, Wish.ASK])
def test_what_was_found_wrong_with_a_remark_is_said(wish: Wish) -> None:
    fault = reasons.NO_SUCH_EVENT.about(operation="Glue")
    assert judge(replace(open_facts(), remark_fault=fault), wish, NOON) == fault
    # Who may not say it at all hears that first.
    nobody = replace(open_facts(), remark_fault=fault, roles=frozenset({"planner"}))
    got = judge(nobody, wish, NOON)
    assert isinstance(got, Refusal)
    assert got.code == "floor.may_not"
