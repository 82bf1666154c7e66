"""Is a part at the stage where its steps say it was, and nowhere else?"""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from travelers.planning.documents.shades import apart, shade
from travelers.planning.rules import (
    PartTimes,
    Place,
    StepTimes,
    Visit,
    count,
    visits_of,
    whole,
)
from travelers.routes.rules import Branch

DAY0 = datetime(2026, 3, 10, 8, tzinfo=UTC)
ZONE = ZoneInfo("Europe/Berlin")
SAW, ROOM, BENCH = 1, 2, 3


def at(days: float) -> datetime:
    return DAY0 + timedelta(days=days)


def step(stage: int, begun: float | None, done: float | None, **more) -> StepTimes:
    return StepTimes(
        stage,
        at(more.pop("added")) if "added" in more else None,
        None if begun is None else at(begun),
        None if done is None else at(done),
        **more,
    )


def part(branch: Branch, *steps: StepTimes, entered: float = 0) -> PartTimes:
    return PartTimes(list(Branch).index(branch) + 1, branch, at(entered), steps)


def told(visits: list[Visit]) -> list[tuple]:
    return [
        (
            one.branch,
            one.stage_id,
            (one.since - DAY0) / timedelta(days=1),
            (one.until - DAY0) / timedelta(days=1) if one.until else None,
        )
        for one in visits
    ]


def test_a_part_goes_from_stage_to_stage() -> None:
    body = part(Branch.BODY, step(SAW, 1, 2), step(ROOM, 3, 40), step(SAW, None, None))
    visits = visits_of([body], None)
    assert told(visits) == [
        (Branch.BODY, SAW, 0, 2),
        (Branch.BODY, ROOM, 2, 40),
        (Branch.BODY, SAW, 40, None),
    ]
    assert [(one.is_new, one.is_last) for one in visits] == [
        (True, False),
        (False, False),
        (False, False),
    ]


def test_two_steps_at_one_stage_are_one_visit() -> None:
    body = part(Branch.BODY, step(SAW, 1, 2), step(SAW, 3, 4), step(ROOM, None, None))
    assert told(visits_of([body], None)) == [
        (Branch.BODY, SAW, 0, 4),
        (Branch.BODY, ROOM, 4, None),
    ]


def test_a_part_waits_at_the_join_and_is_then_part_of_the_whole() -> None:
    body = part(Branch.BODY, step(SAW, 1, 2))
    joint = frozenset({Branch.BODY})
    join = part(Branch.ASSEMBLY, step(BENCH, 5, 6, joins=joint, is_first=True))
    visits = visits_of([body, join], at(6))
    assert told(visits) == [
        (Branch.BODY, SAW, 0, 2),
        (Branch.BODY, BENCH, 2, 5),
        (Branch.ASSEMBLY, BENCH, 5, 6),
    ]
    assert told(whole(visits)) == [(None, SAW, 0, 2), (None, BENCH, 2, 6)]
    assert [(one.is_new, one.is_last) for one in whole(visits)] == [
        (True, False),
        (False, True),
    ]


def test_rework_brings_a_part_back() -> None:
    body = part(
        Branch.BODY,
        step(SAW, 1, 2),
        step(ROOM, 3, 4),
        step(SAW, 5, 6, added=4),
        step(BENCH, None, None),
    )
    assert told(visits_of([body], None)) == [
        (Branch.BODY, SAW, 0, 2),
        (Branch.BODY, ROOM, 2, 4),
        (Branch.BODY, SAW, 4, 6),
        (Branch.BODY, BENCH, 6, None),
    ]


def test_a_scrapped_instrument_leaves_with_all_its_parts() -> None:
    body = part(Branch.BODY, step(SAW, 1, 2), step(ROOM, None, 3))
    neck = part(Branch.NECK, step(SAW, None, 3))
    visits = visits_of([body, neck], at(3))
    assert {one.until for one in visits if one.is_last} == {at(3)}
    assert len([one for one in visits if one.is_last]) == 2


def test_what_comes_and_goes_on_a_day_is_counted_both_times() -> None:
    visit = Visit(1, Branch.BODY, SAW, at(0), at(0.2))
    found = count([visit], date(2026, 3, 10), date(2026, 3, 12), ZONE)
    ((day, place), one), *rest = found.items()
    assert (day, place, rest) == (date(2026, 3, 10), Place(SAW, Branch.BODY), [])
    assert (one.came, one.entered, one.went, one.left, one.lay) == (1, 1, 1, 1, 0)


def test_a_day_ends_when_the_clocks_of_the_shop_say_so() -> None:
    """In Berlin it was the next day already, and on 29 March a day has 23 hours."""
    late = datetime(2026, 3, 28, 23, 30, tzinfo=UTC)
    visit = Visit(1, Branch.BODY, SAW, late, late + timedelta(hours=23))
    found = count([visit], date(2026, 3, 28), date(2026, 3, 31), ZONE)
    assert {day: (one.came, one.went, one.lay) for (day, _), one in found.items()} == {
        date(2026, 3, 29): (1, 0, 1),
        date(2026, 3, 30): (0, 1, 0),
    }


def test_names_beside_a_picture_stand_apart_and_near_their_ends() -> None:
    assert apart([10, 50, 90], 5) == [10, 50, 90]
    assert apart([10, 11, 90], 5) == [8, 13, 90]
    moved = apart([0, 1, 2, 3, 40], 10)
    assert all(b - a >= 10 - 1e-9 for a, b in pairwise(moved))
    assert sum(moved) == sum([0, 1, 2, 3, 40])


def test_shades_lie_between_two_colours() -> None:
    assert shade("#ffffff", "#000000", 0) == "#ffffff"
    assert shade("#ffffff", "#000000", 1) == "#000000"
    assert shade("#000000", "#ff8000", 0.5) == "#804000"
