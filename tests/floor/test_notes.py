"""What has been noted of a step, and what is still wanted of it?"""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from travelers.floor.rules import Notes, Wish
from travelers.floor.rules.facts import due
from travelers.routes.rules import (
    Branch,
    Check,
    CheckKind,
    Joins,
    Line,
    OperationKind,
)


def check(number: int = 1, **other: Any) -> Check:
    usual: dict[str, Any] = {
        "id": number,
        "code": f"C{number}",
        "name": f"Check {number}",
        "kind": CheckKind.MEASURED,
        "unit": "mm",
        "nominal": Decimal(5),
        "lower": Decimal(4),
        "upper": Decimal(6),
        "decimals": 2,
        "places": 1,
        "place_name": "",
        "every_nth": 1,
        "gauge_kind": "",
    }
    known = {name: usual[name] for name in Check.__dataclass_fields__ if name in usual}
    return Check(**(known | other))


def line(*checks: Check) -> Line:
    return Line(
        id=1,
        branch=Branch.BODY,
        number=10,
        name="Saw",
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
        after=(),
        checks=checks,
        hazards=(),
    )


def read(number: int, value: str, verdict: str, place: int = 1) -> tuple[Any, ...]:
    row = {"check": number, "place": place, "value": value, "verdict": verdict}
    return (Wish.READ, {"readings": [row]}, f"r{number}{place}", 1)


def allow(gate: str, event_id: str = "a") -> tuple[Any, ...]:
    return (Wish.ALLOW, {"gate": gate, "reason": "seen"}, event_id, 7)


def passed(*gates: str) -> tuple[Any, ...]:
    return (Wish.START, {"state": "RUNNING", "passed": list(gates)}, "s", 1)


def test_what_was_not_read_is_missing_place_by_place() -> None:
    wanted = line(check(1), check(2, places=3, place_name="fret"), check(3, places=2))
    notes = Notes.of([read(2, "5", "INSIDE", place=2), read(3, "9", "HIGH")])
    assert notes.missing(wanted, 1) == (
        "Check 1",
        "Check 2 (fret 1, 3)",
        "Check 3 (2)",
    )


def test_the_last_reading_of_a_place_counts() -> None:
    both = [read(1, "9", "HIGH"), read(1, "5", "INSIDE")]
    assert Notes.of(both).out(line(check(1))) == ()
    assert Notes.of(both[::-1]).out(line(check(1))) == ("Check 1 9 mm",)


@pytest.mark.parametrize(
    ("position", "wanted"), [(1, True), (2, False), (5, False), (6, True), (11, True)]
)
def test_a_check_of_every_fifth_is_wanted_of_the_first_and_each_fifth_after(
    position: int, wanted: bool
) -> None:
    sampled = check(2, every_nth=5)
    asked = line(check(1), sampled)
    assert (sampled in due(asked, position)) is wanted
    assert ("Check 2" in Notes().missing(asked, position)) is wanted
    assert "Check 1" in Notes().missing(asked, position)


def test_a_sampled_check_that_was_read_all_the_same_must_be_good() -> None:
    notes = Notes.of([read(1, "9", "HIGH")])
    assert notes.out(line(check(1, every_nth=5))) == ("Check 1 9 mm",)


@pytest.mark.parametrize(
    ("events", "left"),
    [
        ([allow("floor.no_room")], {"floor.no_room"}),
        ([allow("floor.no_room"), passed("floor.no_room")], set()),
        ([allow("floor.no_room"), passed("floor.not_here")], {"floor.no_room"}),
        (
            [allow("floor.no_room"), passed("floor.no_room"), allow("floor.no_room")],
            {"floor.no_room"},
        ),
        (
            [allow("floor.no_room"), allow("floor.not_here"), passed("floor.not_here")],
            {"floor.no_room"},
        ),
        (
            # Twice allowed before it is used is still one passage.
            [
                allow("floor.no_room"),
                allow("floor.no_room", "b"),
                passed("floor.no_room"),
            ],
            set(),
        ),
    ],
)
def test_what_was_let_pass_is_there_until_it_is_used(
    events: list[tuple[Any, ...]], left: set[str]
) -> None:
    assert set(Notes.of(events).passes) == left


def test_a_passage_names_who_gave_it_and_why() -> None:
    given = Notes.of([allow("floor.no_room")]).passes["floor.no_room"]
    assert (given.event_id, given.person_id, given.reason) == ("a", 7, "seen")


def test_mates_are_those_that_were_scanned() -> None:
    scans = [(Wish.MATE, {"mate": code}, code, 1) for code in ("P1", "P2", "P1")]
    assert Notes.of(scans).mates == {"P1", "P2"}
